// The neck diagram against the frets of a real neck.

#include "sheet/neck.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <string>

#include "sheet/build.h"
#include "sheet/svg.h"

namespace fretloom::sheet {
namespace {

const MusicFont& font() { return test::music_font(); }

NeckDrawing neck_of(const IdeaSheet& idea, double width, const SheetOptions& options = {}) {
  return draw_neck(idea, idea.feels[0], width, font(), options);
}

/// A ring's place on the page by its place on the neck.
std::map<std::pair<int, int>, RingShape> places_of(const NeckDrawing& neck) {
  std::map<std::pair<int, int>, RingShape> places;
  for (const SceneItem& item : neck.items) {
    if (item.mark == Mark::place && item.place)
      places.emplace(std::pair{item.place->string, item.place->fret}, std::get<RingShape>(item.shape));
  }
  return places;
}

std::vector<SceneItem> items_of(const NeckDrawing& neck, Mark mark) {
  std::vector<SceneItem> found;
  std::copy_if(neck.items.begin(), neck.items.end(), std::back_inserter(found),
               [&](const SceneItem& item) { return item.mark == mark; });
  return found;
}

std::vector<double> fret_lines(const NeckDrawing& neck) {
  std::vector<double> lines;
  for (const SceneItem& item : items_of(neck, Mark::neck)) {
    const auto* line = std::get_if<LineShape>(&item.shape);
    if (line != nullptr && line->from.x == line->to.x) lines.push_back(line->from.x);
  }
  return lines;
}

std::vector<std::string> words_of(const NeckDrawing& neck) {
  std::vector<std::string> words;
  for (const SceneItem& item : neck.items) {
    if (const auto* text = std::get_if<TextShape>(&item.shape)) words.push_back(text->text);
  }
  return words;
}

bool has_word(const NeckDrawing& neck, const std::string& word) {
  const auto words = words_of(neck);
  return std::find(words.begin(), words.end(), word) != words.end();
}

// Source of the fret places: equal temperament, fret n at 1 - 2^(-n/12) of the scale length.
TEST(Neck, FretsAreToScale) {
  const std::vector<double> lines = fret_lines(neck_of(test::idea_of("notes 6:5 6:7 6:8 5:5 5:9"), 60));
  ASSERT_EQ(lines.size(), 8U);  // frets 3 to 10
  for (std::size_t i = 0; i + 2 < lines.size(); ++i)
    EXPECT_NEAR((lines[i + 2] - lines[i + 1]) / (lines[i + 1] - lines[i]), std::exp2(-1.0 / 12), 1e-9);
}

TEST(Neck, EveryPlaceHasItsOrdinal) {
  const IdeaSheet idea = test::idea_of("key E dorian\ngroup 4\nnotes 6:12 6:15 6:14 6:15 5:12 5:14 5:16 5:14");
  const NeckDrawing neck = neck_of(idea, 60);
  EXPECT_EQ(places_of(neck).size(), 6U);
  std::map<std::pair<int, int>, std::string> ordinals;
  for (const SceneItem& item : items_of(neck, Mark::place_ordinal))
    ordinals[{item.place->string, item.place->fret}] = std::get<TextShape>(item.shape).text;
  const std::map<std::pair<int, int>, std::string> wanted{{{6, 12}, "1"}, {{6, 14}, "2"}, {{6, 15}, "3"},
                                                          {{5, 12}, "1"}, {{5, 14}, "2"}, {{5, 16}, "3"}};
  EXPECT_EQ(ordinals, wanted);
}

/// By ring and digit alone, as in black and white: the first degree is filled, the first repetition heavy.
TEST(Neck, TellsTonicAndOwnNotesApart) {
  const NeckDrawing neck = neck_of(test::idea_of("key E dorian\ngroup 2\nnotes 6:12 6:14 5:12 5:14 4:12 4:14"), 60);
  const auto look = [&](int string, int fret) {
    int discs = 0;  // the ground is one
    double line = 0;
    TextStyle style = TextStyle::italic;
    for (const SceneItem& item : neck.items) {
      if (item.place != FretPlace{string, fret}) continue;
      if (const auto* ring = std::get_if<RingShape>(&item.shape)) {
        discs += ring->line == 0 ? 1 : 0;
        line = std::max(line, ring->line);
      } else {
        style = std::get<TextShape>(item.shape).style;
      }
    }
    return std::tuple{discs == 2, line > 0.2, style == TextStyle::bold};
  };
  EXPECT_EQ(look(6, 12), std::tuple(true, true, true));     // E, the rule's own
  EXPECT_EQ(look(6, 14), std::tuple(false, true, true));    // the rule's own
  EXPECT_EQ(look(5, 12), std::tuple(false, false, false));  // a later repetition's
  EXPECT_EQ(look(4, 14), std::tuple(true, false, true));    // E
}

/// Solid after a downstroke, dotted after an upstroke; the first repetition in the strokes' tones, the others faint.
TEST(Neck, PathTellsTheStrokes) {
  const NeckDrawing neck = neck_of(test::idea_of("group 3\nnotes 6:5 5:7 4:5 3:7 2:5 1:7"), 60);
  std::map<std::pair<Tone, std::size_t>, int> kinds;
  for (const SceneItem& item : items_of(neck, Mark::path)) ++kinds[{item.tone, item.shape.index()}];
  const std::size_t solid = Shape(LineShape{}).index();
  const std::size_t dotted = Shape(DotsShape{}).index();
  const std::map<std::pair<Tone, std::size_t>, int> wanted{{{Tone::downstroke, solid}, 1},
                                                           {{Tone::upstroke, dotted}, 1},
                                                           {{Tone::line, solid}, 2},
                                                           {{Tone::line, dotted}, 1}};
  EXPECT_EQ(kinds, wanted);
}

TEST(Neck, HopsAlongAStringKeepOffItsRings) {
  const NeckDrawing neck = neck_of(test::idea_of("group 8\nnotes 6:5 6:8 6:6 6:8 6:5 5:5 5:8 5:5"), 60);
  const auto places = places_of(neck);
  int hops = 0;
  for (const SceneItem& item : items_of(neck, Mark::path)) {
    const Box box = box_of(item.shape, font());
    const bool diagonal =
        std::holds_alternative<LineShape>(item.shape) || std::holds_alternative<DotsShape>(item.shape);
    if (diagonal) continue;
    ++hops;
    for (const auto& [place, ring] : places) {
      // The corners of a bow's box are empty: only what lies right over or under a ring is held against it.
      if (ring.centre.x < box.left || ring.centre.x > box.right) continue;
      const double reach = std::max(ring.centre.y - box.bottom, box.top - ring.centre.y);
      EXPECT_GE(reach, ring.radius - 0.35) << place.first << ':' << place.second;
    }
  }
  EXPECT_GE(hops, 4);
}

// The frets that carry inlays: common practice, no source.
TEST(Neck, InlaysCountFromTheNut) {
  std::string found;
  for (int fret = 0; fret <= 24; ++fret) found += std::to_string(inlay_dots(fret));
  EXPECT_EQ(found, "0001010101002001010101002");
  const auto dots = [](const char* capo) {
    return items_of(neck_of(test::idea_of(std::string(capo) + "notes 6:3 6:5 5:3 5:5"), 60), Mark::inlay).size();
  };
  EXPECT_EQ(dots("capo 0\n"), 2U);  // frets 2 to 6: at 3 and 5
  EXPECT_EQ(dots("capo 7\n"), 3U);  // frets 9 to 13 from the nut: one at 9, two at 12
}

TEST(Neck, SaysCapoAndCountsFretsFromIt) {
  EXPECT_FALSE(has_word(neck_of(test::idea_of("notes 6:3 6:5"), 60), "capo 0"));
  for (const char* notes : {"notes 6:0 6:2", "notes 6:12 6:14"}) {
    const NeckDrawing neck = neck_of(test::idea_of("capo 2\n" + std::string(notes)), 60);
    EXPECT_TRUE(has_word(neck, "capo 2"));
    EXPECT_TRUE(has_word(neck, std::string(notes).find("12") == std::string::npos ? "1" : "12"));
  }
}

TEST(Neck, LeftHandedIsTheMirrorImage) {
  const IdeaSheet idea = test::demo_handout().ideas[0];
  SheetOptions options;
  const auto right = places_of(neck_of(idea, 60, options));
  options.hand = Hand::left;
  const NeckDrawing mirrored = neck_of(idea, 60, options);
  const auto left = places_of(mirrored);
  ASSERT_EQ(right.size(), left.size());
  const double sum = right.begin()->second.centre.x + left.begin()->second.centre.x;
  for (const auto& [place, ring] : right) {
    EXPECT_NEAR(ring.centre.x + left.at(place).centre.x, sum, 1e-9);
    EXPECT_NEAR(ring.centre.y, left.at(place).centre.y, 1e-9);
  }
  const std::vector<double> lines = fret_lines(mirrored);
  EXPECT_TRUE(std::is_sorted(lines.rbegin(), lines.rend())) << "the nut is on the right";
}

/// Any layout, on any width: nothing wider than it may be, no ring on another, no digits smaller than 7 points (on a
/// screen 13 pixels) or in each other's way, and every place of the layout there.
RC_GTEST_PROP(Neck, HoldsEveryPlaceWithReadableDigits, ()) {
  std::string text = "capo " + std::to_string(*rc::gen::element(0, 0, 2, 5)) + "\nnotes";
  for (int i = *rc::gen::inRange(2, 20); i > 0; --i)
    text += " " + std::to_string(*rc::gen::inRange(1, 7)) + ":" + std::to_string(*rc::gen::inRange(0, 20));
  const IdeaSheet idea = test::idea_of(text);
  SheetOptions options;
  options.hand = *rc::gen::element(Hand::right, Hand::left);
  if (*rc::gen::arbitrary<bool>()) options.set_paper(screen_paper(390));
  if (*rc::gen::arbitrary<bool>()) options.staff_space = Millimetres(*rc::gen::element(1.0, 1.6, 2.25));
  const double width = *rc::gen::inRange(30, 114);
  const NeckDrawing neck = neck_of(idea, width, options);
  RC_ASSERT(neck.box.width() <= width + 1e-6);
  const auto places = places_of(neck);
  std::size_t wanted = 0;
  for (const LayoutRow& row : idea.layout) wanted += row.frets.size();
  RC_ASSERT(places.size() == wanted);
  for (auto a = places.begin(); a != places.end(); ++a) {
    for (auto b = std::next(a); b != places.end(); ++b) {
      const Point p = a->second.centre;
      const Point q = b->second.centre;
      RC_ASSERT(std::hypot(p.x - q.x, p.y - q.y) >= a->second.radius + b->second.radius - 1e-9);
    }
  }
  if (neck.rows.size() > 1) {
    const auto is_place = [](const SceneItem& item) { return item.mark == Mark::place; };
    const auto last = neck.items.begin() + static_cast<std::ptrdiff_t>(neck.rows.back());
    RC_ASSERT(std::any_of(last, neck.items.end(), is_place));  // no row of bare frets
  }
  std::vector<Box> texts;
  for (const SceneItem& item : neck.items) {
    const auto* said = std::get_if<TextShape>(&item.shape);
    if (said == nullptr) continue;
    RC_ASSERT(said->size >= smallest_text(options) - 1e-9);
    Box box = box_of(item.shape, font());
    box.top = said->at.y - said->size * k_cap_height;
    box.bottom = said->at.y;
    for (const Box& other : texts) RC_ASSERT(!other.overlaps(box));
    texts.push_back(box);
  }
}

/// A page finds a note's place by its string and fret.
TEST(Neck, PlacesAreGroupsInSvg) {
  const NeckDrawing neck = neck_of(test::idea_of("notes 6:5 6:7 5:5 5:8"), 60);
  Scene scene;
  scene.pages.push_back({60, 30, neck.items});
  const std::string svg = write_svg(scene, font());
  for (const char* place : {"6\" data-fret=\"5", "6\" data-fret=\"7", "5\" data-fret=\"5", "5\" data-fret=\"8"}) {
    const std::string group = "<g data-string=\"" + std::string(place) + "\"><circle class=\"place";
    const std::size_t at = svg.find(group);
    ASSERT_NE(at, std::string::npos) << group;
    EXPECT_EQ(svg.find(group, at + 1), std::string::npos) << "once";
  }
}

TEST(Neck, IsSharedByIdeasOnTheSameFrets) {
  const auto idea = [](const char* text) { return test::idea_of(text); };
  EXPECT_TRUE(share_neck(idea("notes 6:5 6:7 5:5"), idea("notes 5:5 6:7 6:5")));
  EXPECT_FALSE(share_neck(idea("notes 6:5 6:7 5:5"), idea("notes 6:5 6:7 5:7")));
  EXPECT_FALSE(share_neck(idea("notes 6:5 6:7"), idea("capo 2\nnotes 6:5 6:7")));
}

}  // namespace
}  // namespace fretloom::sheet
