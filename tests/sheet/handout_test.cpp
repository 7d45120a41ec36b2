// What a whole handout holds, and how its pages end.

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <map>
#include <set>

#include "base/text.h"
#include "score/ladder.h"
#include "score/swing.h"
#include "sheet/build.h"
#include "sheet/engrave.h"
#include "sheet/pages.h"
#include "sheet/signs_block.h"
#include "sheet/swing_equation.h"
#include "sheet/text_setter.h"
#include "sheet/vamp_block.h"

namespace fretloom::sheet {
namespace {

Engraved engraved(const Handout& handout, const SheetOptions& options, const LessonSentences& sentences = {}) {
  auto result = engrave(handout, sentences, options, test::music_font());
  if (!result) {
    ADD_FAILURE() << result.error().what;
    return {};
  }
  return std::move(result).value();
}

std::vector<std::string> texts_of(const Scene& scene, Mark mark) {
  std::vector<std::string> texts;
  for (const ScenePage& page : scene.pages) {
    for (const SceneItem& item : page.items) {
      const auto* text = std::get_if<TextShape>(&item.shape);
      if (text != nullptr && item.mark == mark) texts.push_back(text->text);
    }
  }
  return texts;
}

int count_of(const std::vector<std::string>& texts, const std::string& text) {
  return static_cast<int>(std::count(texts.begin(), texts.end(), text));
}

constexpr const char* k_prose_text =
    "Play the shape slowly until every change of string feels like every other, and only then let the metronome climb. "
    "The pick moves from the wrist, the arm stays where it is, and the hand that frets comes first: it stands on its "
    "note before the stroke falls. Where a stroke catches, stop, count the notes on the string before, and begin again "
    "from there, slower than you think you need. Nobody is in a hurry but the calendar. When the last note rings, "
    "listen to it to its end, since the silence behind it belongs to the phrase as much as its notes do.";

/// Lines of prose that end because they are full hold 66 to 75 letters on the average and never more, on every paper
/// that has the room.
TEST(Handout, ProseHas66To75LettersALine) {
  Handout handout = test::demo_handout();
  handout.prose.intro = k_prose_text;
  for (const Paper& paper : {k_a4, k_letter, screen_paper(1440), screen_paper(768)}) {
    SheetOptions options;
    options.set_paper(paper);
    const Engraved sheet = engraved(handout, options, {std::string(k_prose_text) + " " + k_prose_text, {}, ""});
    double sum = 0;
    int full = 0;
    for (const std::string& line : texts_of(sheet.scene, Mark::prose)) {
      EXPECT_LE(display_width(line), 75U) << line;
      if (display_width(line) < 50) continue;  // a paragraph's last
      sum += static_cast<double>(display_width(line));
      ++full;
    }
    ASSERT_GE(full, 14);
    EXPECT_GE(sum / full, 66) << paper.width.value;
    EXPECT_LE(sum / full, 75) << paper.width.value;
  }
}

/// 16 points, and a staff of 9 mm, never less (DESIGN: large print).
TEST(Handout, LargePrintMeasures16PointsAnd9Millimetres) {
  SheetOptions options;
  options.set_print(k_large_print);
  const Engraved sheet = engraved(test::demo_handout(), options, test::demo_sentences());
  for (const ScenePage& page : sheet.scene.pages) {
    for (const SceneItem& item : page.items) {
      const auto* text = std::get_if<TextShape>(&item.shape);
      if (text != nullptr && item.mark == Mark::prose && text->style == TextStyle::regular) {
        EXPECT_NEAR(text->size * options.staff_space.value * 72 / 25.4, 16, 1e-9) << text->text;
      }
    }
  }
  for (const SceneSystem& system : sheet.scene.systems) EXPECT_NEAR(4 * system.scale * 2.25, 9, 1e-9);
}

/// The digits of the tab can be read on a phone, prose is never under 13 pixels, and all stays within the width.
TEST(Handout, AScreenHasDigitsOfThirteenPixels) {
  for (const int width : {390, 768, 1440}) {
    for (const double digits : {13.0, 16.0}) {
      SheetOptions options;
      options.set_paper(screen_paper(width));
      options.set_print(screen_print(digits));
      const Engraved sheet = engraved(test::demo_handout(), options, test::demo_sentences());
      ASSERT_EQ(sheet.scene.pages.size(), 1U);
      const double pixel = options.staff_space.value / k_pixel.value;
      EXPECT_NEAR(sheet.scene.pages[0].width * pixel, width, 1e-6);
      for (const SceneItem& item : sheet.scene.pages[0].items) {
        EXPECT_LE(box_of(item.shape, test::music_font()).right, sheet.scene.pages[0].width) << name(item.mark);
        const auto* text = std::get_if<TextShape>(&item.shape);
        if (text == nullptr) continue;
        if (item.mark == Mark::fret) {
          EXPECT_GE(text->size * pixel, digits - 1e-9) << width << ' ' << text->text;
        }
        if (item.mark == Mark::prose) {
          EXPECT_GE(text->size * pixel, 13) << text->text;
        }
      }
    }
  }
}

/// A box, its tempo and a line for the date for every rung of every idea at every feel.
TEST(Handout, TheLadderHasEveryRung) {
  const Handout handout = test::demo_handout();
  for (const double width : {90.0, 210.0}) {
    SheetOptions options;
    options.paper.width = Millimetres(width);
    const Engraved sheet = engraved(handout, options);
    int boxes = 0;
    int lines = 0;
    for (const ScenePage& page : sheet.scene.pages) {
      for (const SceneItem& item : page.items) {
        if (item.mark != Mark::ladder) continue;
        boxes += std::holds_alternative<BoxShape>(item.shape) ? 1 : 0;
        lines += std::holds_alternative<LineShape>(item.shape) ? 1 : 0;
      }
    }
    int rungs = 0;
    for (const FeelRef& feel : feels_of(handout))
      rungs += static_cast<int>(ladder(feel.idea->slow_bpm, feel.idea->goal_bpm).size());
    EXPECT_EQ(boxes, rungs);
    EXPECT_EQ(lines, rungs);
    EXPECT_EQ(count_of(texts_of(sheet.scene, Mark::ladder), "120"), 10);
  }
}

/// Only what the music holds is explained, and all of it.
TEST(Handout, SignsAreThoseOfTheMusic) {
  const auto said = [](const char* notes, const SheetOptions& options) {
    const IdeaSheet idea = test::idea_of("feel 4\nnotes " + std::string(notes));
    return signs_of({{&idea, &idea.feels[0], 0}}, options);
  };
  SheetOptions options;
  EXPECT_EQ(said("6:5 6:7", options), (std::set<Sign>{Sign::downstroke, Sign::upstroke}));
  EXPECT_EQ(said("6:5 h6:7 p6:5 s6:9!f3 end 6:7", options),
            (std::set<Sign>{Sign::downstroke, Sign::upstroke, Sign::hammer_on, Sign::pull_off, Sign::slide,
                            Sign::accent, Sign::fingers, Sign::landing}));
  options.strokes = options.loom = options.fingers = false;
  options.ordinals = true;
  EXPECT_EQ(said("6:5 6:7f1", options), (std::set<Sign>{Sign::ordinals}));
  const auto texts = texts_of(engraved(test::handout_of({"feel 4\nnotes 6:5 h6:7"}), {}).scene, Mark::sign);
  EXPECT_EQ(count_of(texts, "hammer-on"), 1);
  EXPECT_EQ(count_of(texts, "pull-off"), 0);
}

Box box_of_block(const Block& block) {
  Box box;
  for (const SceneItem& item : block.items) box.add(box_of(item.shape, test::music_font()));
  return box;
}

/// Every bar of the vamp has its chords, whatever the width, between two repeat signs.
RC_GTEST_PROP(Handout, TheVampHoldsEveryBar, ()) {
  std::string chords;
  int written = 0;
  const int bars = *rc::gen::inRange(1, 20);
  for (int bar = 0; bar < bars; ++bar) {
    const int count = *rc::gen::inRange(1, 4);
    for (int i = 0; i < count; ++i) chords += (i > 0 ? " " : bar > 0 ? " | " : "") + std::string("Em");
    written += count;
  }
  const IdeaSheet idea = test::idea_of("meter " + std::string(*rc::gen::element("4/4", "3/4", "9/8", "2+2+3/8")) +
                                       "\nvamp " + chords + "\nfeel 2\nnotes 6:5 6:7");
  const double width = *rc::gen::inRange(40, 110);
  const Block block = vamp_block(idea, {}, test::music_font(), width);
  int roots = 0;
  int dots = 0;
  for (const SceneItem& item : block.items) {
    const auto* text = std::get_if<TextShape>(&item.shape);
    if (item.mark == Mark::vamp && text != nullptr && text->text.starts_with("E")) ++roots;
    if (std::holds_alternative<RingShape>(item.shape)) ++dots;
  }
  RC_ASSERT(roots == written);
  RC_ASSERT(dots == 4);
  const Box box = box_of_block(block);
  RC_ASSERT(box.left >= -1e-6);
  RC_ASSERT(box.right <= width + 1e-6);
  RC_ASSERT(box.bottom <= block.height + 1e-6);
}

TEST(Handout, SwingIsNotWrittenOverTriplets) {
  IdeaSheet idea = test::idea_of("vamp Em7\nswing 2:1\nfeels 2 3\nnotes 6:5 6:7");
  EXPECT_TRUE(swings(idea.vamp, idea.meter, 2));
  EXPECT_FALSE(swings(idea.vamp, idea.meter, 3));
  EXPECT_FALSE(swings(idea.vamp, idea.meter, 6));
  idea.vamp.swing = Rational(1);
  EXPECT_FALSE(swings(idea.vamp, idea.meter, 2));
  const IdeaSheet jig = test::idea_of("meter 6/8\nvamp Em7\nswing 2:1\nfeel 2\nnotes 6:5 6:7");
  EXPECT_FALSE(swings(jig.vamp, jig.meter, 2));
}

/// One diagram where ideas share a layout, another where one does not.
TEST(Handout, ANeckIsDrawnOnceForALayout) {
  const std::string notes = "feel 4\nnotes 6:5 6:7 6:8 5:5 5:7 5:9";
  const std::string other = "feel 4\nnotes 6:7 6:9 6:10 5:7 5:9 5:10";
  const auto necks = [](const std::vector<std::string>& ideas) {
    const Engraved sheet = engraved(test::handout_of(ideas), {});
    int places = 0;
    for (const ScenePage& page : sheet.scene.pages) {
      for (const SceneItem& item : page.items) places += item.mark == Mark::place_ordinal ? 1 : 0;
    }
    return places;
  };
  EXPECT_EQ(necks({notes, notes}), necks({notes}));
  EXPECT_EQ(necks({notes, other, notes}), necks({notes}) + necks({other}));
}

/// The cover holds no music; each idea opens a page.
TEST(Handout, TheCoverComesFirstThenAnIdeaAPage) {
  SheetOptions options;
  options.layout = PageLayout::cover;
  const Engraved sheet = engraved(test::demo_handout(), options, test::demo_sentences());
  std::set<int> pages;
  for (const SceneSystem& system : sheet.scene.systems) EXPECT_GT(system.page, 0);
  for (const Bookmark& bookmark : sheet.scene.bookmarks) {
    if (bookmark.title == "The ladder") {
      EXPECT_EQ(bookmark.page, 0);
    } else {
      EXPECT_TRUE(pages.insert(bookmark.page).second) << bookmark.title;
    }
  }
  EXPECT_EQ(pages.size(), 6U);
}

/// Each part that a switch turns off is gone, and back without it.
TEST(Handout, EverySwitchTakesItsPart) {
  Handout handout = test::demo_handout();
  const std::map<std::string_view, Mark> marks = {
      {"strokes", Mark::stroke}, {"fingers", Mark::finger}, {"ordinals", Mark::ordinal},
      {"neck", Mark::neck},      {"loom", Mark::knot},      {"vamp", Mark::vamp},
      {"signs", Mark::sign},     {"ladder", Mark::ladder},  {"code", Mark::code}};
  const auto has = [&](const SheetOptions& options, Mark mark) {
    const Engraved sheet = engraved(handout, options, test::demo_sentences());
    return std::any_of(sheet.scene.pages.begin(), sheet.scene.pages.end(), [&](const ScenePage& page) {
      return std::any_of(page.items.begin(), page.items.end(), [&](const SceneItem& i) { return i.mark == mark; });
    });
  };
  for (const SheetSwitch& part : k_sheet_switches) {
    const auto mark = marks.find(part.word);
    if (mark == marks.end()) continue;
    SheetOptions options;
    options.link_code = LinkCode{"https://example.org", 21, std::vector<bool>(441, true)};
    handout.prose.links = {"https://example.org"};
    options.*part.part = true;
    EXPECT_TRUE(has(options, mark->second)) << part.word;
    options.*part.part = false;
    EXPECT_FALSE(has(options, mark->second)) << part.word;
  }
  SheetOptions options;
  options.row = false;
  EXPECT_NE(engraved(handout, options).scene.passages.back().id, "etude");
  options.prose = false;
  const Engraved bare = engraved(handout, options, test::demo_sentences());
  EXPECT_TRUE(texts_of(bare.scene, Mark::title).size() == 1);
  for (const std::string& text : texts_of(bare.scene, Mark::prose)) EXPECT_NE(text.back(), '.') << text;
}

/// Feel and tempo of each idea, key and meter at the end of the line before they change, and bars counted through
/// without the pick-ups.
TEST(Handout, TheRowShowsWhatChanges) {
  const std::string six = " 6:12 6:14 6:15 6:14 5:12 5:14 5:16 5:14 4:12 4:14 4:16 4:14 3:12 3:14 3:16 3:14";
  Handout handout = test::handout_of({"name One\nkey E dorian\nfeel 4\nstart -1\nnotes" + six + six,
                                      "name Two\nkey Bb ionian\nmeter 3/4\nfeel 4\nstart -1\nnotes" + six,
                                      "name Three\nkey C ionian\nmeter 3/4\nfeel 4\nnotes" + six});
  SheetOptions options;
  options.prose = options.neck = options.loom = options.ladder = options.vamp = options.signs = false;
  const Engraved sheet = engraved(handout, options);
  const auto row = static_cast<int>(sheet.scene.passages.size()) - 1;
  std::vector<SceneSystem> systems;
  for (const SceneSystem& system : sheet.scene.systems) {
    if (system.passage == row) systems.push_back(system);
  }
  ASSERT_EQ(systems.size(), 3U);
  const auto items_in = [&](const SceneSystem& system) {
    std::vector<const SceneItem*> items;
    for (const SceneItem& item : sheet.scene.pages[static_cast<std::size_t>(system.page)].items) {
      const Box box = box_of(item.shape, test::music_font());
      if (box.top > system.box.top - 1e-6 && box.bottom < system.box.bottom + 1e-6) items.push_back(&item);
    }
    return items;
  };
  const auto at_the_end = [&](const SceneSystem& system, Mark mark, Symbol symbol) {
    int count = 0;
    double last_note = 0;
    for (const SceneItem* item : items_in(system)) {
      if (item->mark == Mark::notehead) last_note = std::max(last_note, box_of(item->shape, test::music_font()).right);
    }
    for (const SceneItem* item : items_in(system)) {
      const auto* glyph = std::get_if<GlyphShape>(&item->shape);
      if (item->mark == mark && glyph != nullptr && glyph->symbol == symbol && glyph->at.x > last_note) ++count;
    }
    return count;
  };
  EXPECT_EQ(at_the_end(systems[0], Mark::key_signature, Symbol::flat), 2);
  EXPECT_EQ(at_the_end(systems[0], Mark::time_signature, Symbol::time_3), 1);
  EXPECT_EQ(at_the_end(systems[1], Mark::key_signature, Symbol::natural), 2);
  EXPECT_EQ(at_the_end(systems[1], Mark::time_signature, Symbol::time_3), 0);
  EXPECT_EQ(at_the_end(systems[2], Mark::key_signature, Symbol::flat), 0);
  for (const SceneSystem& system : systems) {
    std::vector<std::string> said;
    std::vector<std::string> numbers;
    for (const SceneItem* item : items_in(system)) {
      const auto* text = std::get_if<TextShape>(&item->shape);
      if (text == nullptr) continue;
      (item->mark == Mark::bar_number ? numbers : said).push_back(text->text);
    }
    EXPECT_EQ(count_of(said, "4 a beat"), 1);
    EXPECT_EQ(count_of(said, "= 60 to 120"), 1);
    // One: a pick-up and two bars; Two: a pick-up and one; so Three begins at bar 4.
    EXPECT_EQ(numbers, &system == &systems[2] ? std::vector<std::string>{"4"} : std::vector<std::string>{});
  }
}

Handout random_handout() {
  std::vector<std::string> ideas;
  for (int i = *rc::gen::inRange(1, 6); i > 0; --i) {
    std::string notes;
    const int count = *rc::gen::inRange(48, 100);
    for (int n = 0; n < count; ++n)
      notes += " " + std::to_string(*rc::gen::inRange(1, 7)) + ":" + std::to_string(*rc::gen::inRange(5, 17));
    ideas.push_back("name Random\nrule 1 2 3\nvamp Em7 | A7\nfeels " +
                    std::string(*rc::gen::element("4", "4 6", "2 3")) + "\nnote Keep it calm.\nnotes" + notes);
  }
  return test::handout_of(ideas);
}

/// Ideas of two bars and more, so that each can be set in a line more.
RC_GTEST_PROP(Handout, NoPageHasOneSystemAlone, ()) {
  const Handout handout = random_handout();
  LessonSentences sentences = test::demo_sentences();
  SheetOptions options;
  options.paper = *rc::gen::element(k_a4, k_letter);
  const auto sheet = engrave(handout, sentences, options, test::music_font());
  RC_ASSERT(sheet.ok());
  std::map<int, int> systems;
  for (const SceneSystem& system : sheet->scene.systems) ++systems[system.page];
  if (sheet->scene.systems.size() < 2) return;
  for (const auto& [page, count] : systems) {
    if (count > 1) continue;
    for (const SceneSystem& system : sheet->scene.systems)
      RC_LOG() << system.page << ": " << system.passage << " bars " << system.first_bar << " to " << system.last_bar
               << " at " << system.box.top << " to " << system.box.bottom << "\n";
    RC_ASSERT(count > 1);
  }
}

/// Bottom of what stands above the foot.
double end_of(const ScenePage& page) {
  double foot = 1e9;
  for (const SceneItem& item : page.items) {
    if (item.mark == Mark::footer) foot = std::min(foot, box_of(item.shape, test::music_font()).top);
  }
  double end = 0;
  for (const SceneItem& item : page.items) {
    const Box box = box_of(item.shape, test::music_font());
    const bool rule = item.mark == Mark::heading && box.width() > 0.9 * page.width - 20;
    if (item.mark != Mark::footer && !rule && box.bottom < foot) end = std::max(end, box.bottom);
  }
  return end;
}

/// Pages that their gaps can fill end on one height, the last one aside.
TEST(Handout, FullPagesEndAlike) {
  const Handout handout = test::demo_handout();
  for (const Paper& paper : {k_a4, k_letter}) {
    SheetOptions options;
    options.set_paper(paper);
    const Engraved sheet = engraved(handout, options, test::demo_sentences());
    ASSERT_GT(sheet.scene.pages.size(), 3U);
    std::vector<double> ends;
    for (std::size_t page = 1; page + 1 < sheet.scene.pages.size(); ++page)
      ends.push_back(end_of(sheet.scene.pages[page]));
    const auto [low, high] = std::minmax_element(ends.begin(), ends.end());
    EXPECT_LE(*high - *low, 0.12 * sheet.scene.pages[0].height);
  }
}

}  // namespace
}  // namespace fretloom::sheet
