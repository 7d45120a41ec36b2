// Laws of whole pages, on lessons by hand and at random.

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <map>
#include <set>

#include "base/text.h"
#include "sheet/build.h"
#include "sheet/engrave.h"
#include "sheet/laws.h"
#include "sheet/passage.h"
#include "sheet/system.h"
#include "sheet/text_setter.h"

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

std::vector<std::string> said_on_page(const Engraved& sheet, std::size_t page) {
  std::vector<std::string> said;
  for (const SceneItem& item : sheet.scene.pages[page].items) {
    if (const auto* text = std::get_if<TextShape>(&item.shape)) said.push_back(text->text);
  }
  return said;
}

std::string random_notes(int count, int strings) {
  std::string notes = " " + std::to_string(strings) + ":12";
  int length = 0;
  for (int i = 0; i < count; ++i) {
    const int kind = *rc::gen::inRange(0, 12);
    if (kind == 0) {
      notes += " r";
      continue;
    }
    const int string = *rc::gen::inRange(1, strings + 1);
    const int fret = *rc::gen::inRange(0, 25);
    const char* attack = kind == 1 ? "h" : kind == 2 ? "p" : kind == 3 ? "s" : "";
    length = *rc::gen::inRange(1, 9);
    notes += " " + std::string(attack) + std::to_string(string) + ":" + std::to_string(fret) + (kind == 4 ? "!" : "") +
             (length > 5 ? "x" + std::to_string(length - 4) : "") + (kind > 5 ? "f" + std::to_string(kind % 5) : "");
  }
  return notes;
}

Handout random_handout() {
  const char* meter = *rc::gen::element("4/4", "3/4", "6/8", "2+2+3/8", "12/8", "5/4");
  const char* key =
      *rc::gen::element("E dorian", "Db ionian", "F# phrygian", "A harmonic minor", "Cb lydian", "G aeolian");
  const char* vamp = *rc::gen::element("", "vamp Em7 | A7", "vamp F#m7b5 B7 | Em7 Dmaj7");
  const char* tuning =
      *rc::gen::element("E2 A2 D3 G3 B3 E4", "E2 A2 D3 G3 B3 E4", "E1 A1 D2 G2", "B1 E2 A2 D3 G3 B3 E4", "A3",
                        "C#1 F#1 B1 E2 A2 D3 G3 B3 E4", "E1 A1 D2 G2 C3 F3 Bb3 Eb4 Ab4 Db5 Gb5 B5");
  const auto strings = static_cast<int>(words(tuning).size());
  const int feel = *rc::gen::inRange(1, 13);
  const int start = *rc::gen::inRange(-2, 3);
  return test::handout_of({"name Random\ntuning " + std::string(tuning) + "\nmeter " + std::string(meter) + "\nkey " +
                           key + "\n" + vamp + "\nstart " + std::to_string(start) + "\nfeel " + std::to_string(feel) +
                           "\ngroup " + std::to_string(*rc::gen::inRange(1, 9)) +
                           "\nblocked 3 4 9 14 20"
                           "\nnotes" +
                           random_notes(*rc::gen::inRange(1, 40), strings)});
}

SheetOptions random_options() {
  SheetOptions options;
  options.paper =
      *rc::gen::element(k_a4, k_letter, Paper{Millimetres(120), Millimetres(200), Millimetres(8), PaperKind::sheet});
  options.ordinals = *rc::gen::arbitrary<bool>();
  options.counting = *rc::gen::arbitrary<bool>();
  return options;
}

/// Marks that stand in rows, outside of everything that belongs to the notes.
bool is_row(Mark mark) {
  return mark == Mark::stroke || mark == Mark::chord || mark == Mark::finger || mark == Mark::tuplet ||
         mark == Mark::ottava || mark == Mark::accent || mark == Mark::bar_number || mark == Mark::blocked;
}

bool is_note_part(Mark mark) {
  return mark == Mark::notehead || mark == Mark::accidental || mark == Mark::dot || mark == Mark::ledger ||
         mark == Mark::stem || mark == Mark::flag || mark == Mark::beam || mark == Mark::rest;
}

/// The part of a slanting beam over [left, right]; other shapes as their box.
Box part_over(const SceneItem& item, double left, double right) {
  Box box = test::inked(item);
  const auto* quad = std::get_if<QuadShape>(&item.shape);
  if (quad == nullptr) return box;
  const auto& c = quad->corners;  // left, right, right, left
  Box part;
  for (const double x : {std::clamp(left, c[0].x, c[1].x), std::clamp(right, c[0].x, c[1].x)}) {
    const double t = (x - c[0].x) / std::max(1e-9, c[1].x - c[0].x);
    part.add(Point{x, c[0].y + t * (c[1].y - c[0].y)});
    part.add(Point{x, c[3].y + t * (c[2].y - c[3].y)});
  }
  return {box.left, part.top + 0.02, box.right, part.bottom - 0.02};
}

std::string row_collision(const Scene& scene) {
  for (const ScenePage& page : scene.pages) {
    std::vector<const SceneItem*> rows;
    std::vector<const SceneItem*> parts;
    for (const SceneItem& item : page.items) {
      if (is_row(item.mark)) rows.push_back(&item);
      if (is_note_part(item.mark)) parts.push_back(&item);
    }
    for (const SceneItem* row : rows) {
      const Box box = test::inked(*row);
      for (const SceneItem* part : parts) {
        if (box.overlaps(part_over(*part, box.left, box.right))) {
          return std::string(name(row->mark)) + " on " + std::string(name(part->mark)) + " at " +
                 std::to_string(box.left) + "," + std::to_string(box.top);
        }
      }
    }
  }
  return "";
}

/// A head, sign, rest or flag of one note on the beam or stem of another.
std::string note_collision(const Scene& scene) {
  for (const ScenePage& page : scene.pages) {
    for (const SceneItem& a : page.items) {
      const bool symbol = a.mark == Mark::notehead || a.mark == Mark::accidental || a.mark == Mark::rest ||
                          a.mark == Mark::flag || a.mark == Mark::dot;
      if (!symbol) continue;
      const Box box = test::inked(a).grown(-0.02);
      for (const SceneItem& b : page.items) {
        const bool line = b.mark == Mark::beam || b.mark == Mark::stem;
        if (!line || (b.mark == Mark::stem && b.note == a.note)) continue;
        if (box.overlaps(part_over(b, box.left, box.right))) {
          const Box part = part_over(b, box.left, box.right);
          return std::string(name(a.mark)) + " on " + std::string(name(b.mark)) + " at " + std::to_string(box.left) +
                 "," + std::to_string(box.top) + " to " + std::to_string(box.right) + "," + std::to_string(box.bottom) +
                 " against " + std::to_string(part.left) + "," + std::to_string(part.top) + " to " +
                 std::to_string(part.right) + "," + std::to_string(part.bottom) + " " + note_id(scene, a.note);
        }
      }
    }
  }
  return "";
}

Point on_bow(const BowShape& bow, double t) {
  const double u = 1 - t;
  const double a = u * u * u;
  const double b = 3 * u * u * t;
  const double c = 3 * u * t * t;
  const double d = t * t * t;
  return {a * bow.from.x + b * bow.control_1.x + c * bow.control_2.x + d * bow.to.x,
          a * bow.from.y + b * bow.control_1.y + c * bow.control_2.y + d * bow.to.y};
}

/// A slur's middle part on a head, a sign, or anything in a row.
std::string bow_collision(const Scene& scene) {
  for (const ScenePage& page : scene.pages) {
    for (const SceneItem& item : page.items) {
      if (item.mark != Mark::slur) continue;
      const auto& bow = std::get<BowShape>(item.shape);
      for (const SceneItem& other : page.items) {
        const bool solid = other.mark == Mark::notehead || other.mark == Mark::accidental || is_row(other.mark);
        if (!solid) continue;
        const Box box = test::inked(other).grown(-0.05);
        for (int i = 2; i <= 18; ++i) {
          const Point p = on_bow(bow, i / 20.0);
          if (p.x > box.left && p.x < box.right && p.y > box.top && p.y < box.bottom) {
            return std::string(name(other.mark)) + " on a slur at " + std::to_string(p.x) + "," + std::to_string(p.y) +
                   " " + note_id(scene, item.note);
          }
        }
      }
    }
  }
  return "";
}

const BowShape& only_slur(const Engraved& sheet) {
  for (const SceneItem& item : sheet.scene.pages[0].items) {
    if (item.mark == Mark::slur) return std::get<BowShape>(item.shape);
  }
  ADD_FAILURE() << "no slur";
  static const BowShape none;
  return none;
}

/// True if the middle part of a slur comes nearer than `white` to any point of a beam or tie on its inside.
bool crowded(const Scene& scene, Mark mark, double white) {
  const auto& items = scene.pages[0].items;
  for (const SceneItem& item : items) {
    if (item.mark != Mark::slur) continue;
    const auto& bow = std::get<BowShape>(item.shape);
    for (int i = 6; i <= 42; ++i) {
      const Point p = on_bow(bow, i / 48.0);
      for (const SceneItem& other : items) {
        if (other.mark != mark) continue;
        if (const auto* tie = std::get_if<BowShape>(&other.shape)) {
          for (int k = 0; k <= 48; ++k) {
            const Point q = on_bow(*tie, k / 48.0);
            if (std::hypot(p.x - q.x, p.y - q.y) < white + (tie->middle + bow.middle) / 2) return true;
          }
          continue;
        }
        const Box part = part_over(other, p.x - 0.01, p.x + 0.01);
        if (p.x > part.left && p.x < part.right && p.y + bow.middle / 2 + white > part.top && p.y < part.bottom)
          return true;
      }
    }
  }
  return false;
}

RC_GTEST_PROP(Page, SlursPassOverTheNotes, ()) {
  const auto result = engrave(random_handout(), {}, random_options(), test::music_font());
  RC_ASSERT(result.ok());
  RC_ASSERT(bow_collision(result->scene) == "");
  RC_ASSERT(!crowded(result->scene, Mark::beam, 0));
}

/// A slur from under a beam to a head beyond it passes the beam's corner; one over a tie keeps off its bow.
TEST(Page, SlursClearTheBeamsAndTiesTheyPass) {
  const Engraved beam =
      engraved(test::handout_of(
                   {"name B\ntuning B1 E2 A2 D3 G3 B3 E4\nkey B aeolian\nfeel 9\nnotes 6:7 5:7 5:9 5:10 5:9 5:7 4:7 "
                    "h4:9 h4:11 p4:9 p4:7 3:7 h3:9 h3:11 p3:9 p3:7 2:8 2:10"}),
               {});
  EXPECT_FALSE(crowded(beam.scene, Mark::beam, 0.1));
  const Engraved tie =
      engraved(test::handout_of({"name T\nkey F lydian\nfeel 5\nnotes 3:4 3:5 2:3 s2:6x3 s2:3x4 3:5 3:4 3:5"}), {});
  EXPECT_FALSE(crowded(tie.scene, Mark::tie, 0.2));
}

RC_GTEST_PROP(Page, RowsKeepClearOfTheNotes, ()) {
  const auto result = engrave(random_handout(), {}, random_options(), test::music_font());
  RC_ASSERT(result.ok());
  RC_ASSERT(row_collision(result->scene) == "");
}

/// A tuplet's number within the row of fingers would read as a finger, within the strokes as one of them; a
/// chord symbol beside a stroke would look like part of its row.
RC_GTEST_PROP(Page, EveryKindHasARowOfItsOwn, ()) {
  const auto result = engrave(random_handout(), {}, random_options(), test::music_font());
  RC_ASSERT(result.ok());
  for (const SceneSystem& system : result->scene.systems) {
    const auto row = [&](Mark mark) {
      std::vector<Box> boxes;
      for (const SceneItem& item : result->scene.pages[static_cast<std::size_t>(system.page)].items) {
        const Box box = test::inked(item);
        if (item.mark == mark && box.top >= system.box.top && box.bottom <= system.box.bottom) boxes.push_back(box);
      }
      return boxes;
    };
    const std::pair<Mark, Mark> apart[] = {{Mark::finger, Mark::tuplet}, {Mark::stroke, Mark::tuplet},
                                           {Mark::stroke, Mark::chord},  {Mark::finger, Mark::technique},
                                           {Mark::finger, Mark::ottava}, {Mark::counting, Mark::ordinal}};
    for (const auto& [one, other] : apart) {
      for (const Box& a : row(one)) {
        for (const Box& b : row(other)) RC_ASSERT((a.bottom <= b.top || a.top >= b.bottom));
      }
    }
  }
}

RC_GTEST_PROP(Page, NoSymbolTouchesAnothersStemOrBeam, ()) {
  const auto result = engrave(random_handout(), {}, random_options(), test::music_font());
  RC_ASSERT(result.ok());
  RC_ASSERT(note_collision(result->scene) == "");
}

/// Source: common practice; a ledger line that ran into a sharp would look like a part of it.
RC_GTEST_PROP(Page, LedgerLinesGiveWayToAccidentals, ()) {
  const auto result = engrave(random_handout(), {}, random_options(), test::music_font());
  RC_ASSERT(result.ok());
  for (const ScenePage& page : result->scene.pages) {
    for (const SceneItem& line : page.items) {
      if (line.mark != Mark::ledger) continue;
      const Box ledger = test::inked(line);
      for (const SceneItem& sign : page.items) {
        RC_ASSERT((sign.mark != Mark::accidental || !test::inked(sign).overlaps(ledger)));
      }
    }
  }
}

/// What an item covers, in slices so thin that a bow or a slanting line claims no corner it does not fill.
std::vector<Box> slices_of(const SceneItem& item) {
  constexpr int k_slices = 64;
  std::vector<Box> slices;
  if (const auto* bow = std::get_if<BowShape>(&item.shape)) {
    for (int i = 0; i < k_slices; ++i) {
      Box box;
      for (const double t : {i / double(k_slices), (i + 1) / double(k_slices)}) box.add(on_bow(*bow, t));
      const double t = (i + 0.5) / k_slices;
      slices.push_back(box.grown((bow->end + (bow->middle - bow->end) * 4 * t * (1 - t)) / 2));
    }
    return slices;
  }
  if (const auto* line = std::get_if<LineShape>(&item.shape)) {
    for (int i = 0; i < k_slices; ++i) {
      Box box;
      for (const double t : {i / double(k_slices), (i + 1) / double(k_slices)})
        box.add(Point{line->from.x + t * (line->to.x - line->from.x), line->from.y + t * (line->to.y - line->from.y)});
      slices.push_back(box.grown(line->width / 2));
    }
    return slices;
  }
  const Box whole = test::inked(item);
  if (!std::holds_alternative<QuadShape>(item.shape)) return {whole};
  for (int i = 0; i < k_slices; ++i) {
    const double left = whole.left + i * whole.width() / k_slices;
    const double right = left + whole.width() / k_slices;
    const Box part = part_over(item, left, right);
    slices.push_back({left, part.top, right, part.bottom});
  }
  return slices;
}

/// Marks that nothing may touch but their own kind.
bool stands_free(Mark mark) {
  return is_row(mark) || mark == Mark::technique || mark == Mark::counting || mark == Mark::ordinal ||
         mark == Mark::ending || mark == Mark::fret;
}

/// And what may not touch them, besides each other.
bool is_ink(Mark mark) {
  return is_note_part(mark) || mark == Mark::tie || mark == Mark::slur || mark == Mark::slide ||
         mark == Mark::tab_slur || mark == Mark::tab_slide || mark == Mark::clef || mark == Mark::key_signature;
}

std::string touch_of(const Scene& scene) {
  for (const ScenePage& page : scene.pages) {
    std::vector<std::pair<const SceneItem*, std::vector<Box>>> free;
    std::vector<std::pair<const SceneItem*, std::vector<Box>>> ink;
    for (const SceneItem& item : page.items) {
      if (stands_free(item.mark)) free.emplace_back(&item, slices_of(item));
      if (stands_free(item.mark) || is_ink(item.mark)) ink.emplace_back(&item, slices_of(item));
    }
    for (const auto& [a, a_slices] : free) {
      for (const auto& [b, b_slices] : ink) {
        if (a->mark == b->mark) continue;
        for (const Box& one : a_slices) {
          for (const Box& other : b_slices) {
            if (!one.overlaps(other)) continue;
            return std::string(name(a->mark)) + " on " + std::string(name(b->mark)) + " at " +
                   std::to_string(one.left) + "," + std::to_string(one.top) + " " + note_id(scene, b->note);
          }
        }
      }
    }
  }
  return "";
}

/// By the items' own outlines, not their boxes alone.
RC_GTEST_PROP(Page, NoSkylinesCross, ()) {
  SheetOptions options = random_options();
  options.neck = options.prose = false;
  const auto result = engrave(random_handout(), {}, options, test::music_font());
  RC_ASSERT(result.ok());
  RC_ASSERT(touch_of(result->scene) == "");
}

RC_GTEST_PROP(Page, NothingOverlaps, ()) {
  const auto result = engrave(random_handout(), test::demo_sentences(), random_options(), test::music_font());
  RC_ASSERT(result.ok());
  RC_ASSERT(test::overlap_of(result->scene) == "");
}

TEST(Page, NothingOverlapsInTheDemoAtAnySize) {
  const Handout demo = test::demo_handout();
  for (const Paper& paper :
       {k_a4, k_letter, k_strip, Paper{Millimetres(90), Millimetres(200), Millimetres(5), PaperKind::sheet}}) {
    for (const Millimetres space : {k_staff_space, k_large_print_space}) {
      SheetOptions options;
      options.paper = paper;
      options.staff_space = space;
      options.ordinals = true;
      EXPECT_EQ(test::overlap_of(engraved(demo, options, test::demo_sentences()).scene), "")
          << paper.width.value << " " << space.value;
    }
  }
}

RC_GTEST_PROP(Page, SystemsFillTheWidth, ()) {
  const SheetOptions options = random_options();
  const auto result = engrave(random_handout(), {}, options, test::music_font());
  RC_ASSERT(result.ok());
  const double right = (options.paper.width.value - options.paper.margin.value) / options.staff_space.value;
  const auto& systems = result->scene.systems;
  for (std::size_t i = 0; i < systems.size(); ++i) {
    const bool last = i + 1 == systems.size() || systems[i + 1].passage != systems[i].passage;
    if (last) {
      RC_ASSERT(systems[i].right <= right + 1e-6);
    } else {
      RC_ASSERT(std::fabs(systems[i].right - right) < 1e-6);
    }
  }
}

RC_GTEST_PROP(Page, EverythingLiesOnThePage, ()) {
  const auto result = engrave(random_handout(), test::demo_sentences(), random_options(), test::music_font());
  RC_ASSERT(result.ok());
  for (const ScenePage& page : result->scene.pages) {
    for (const SceneItem& item : page.items) {
      const Box box = box_of(item.shape, test::music_font());
      RC_LOG() << name(item.mark) << " " << box.left << " " << box.top << " " << box.right << " " << box.bottom
               << " on " << page.width << " x " << page.height << "\n";
      RC_ASSERT((box.left > 0 && box.right < page.width && box.top > 0 && box.bottom < page.height));
    }
  }
}

RC_GTEST_PROP(Page, StemsAreLongEnough, ()) {
  const auto result = engrave(random_handout(), {}, random_options(), test::music_font());
  RC_ASSERT(result.ok());
  const Scene& scene = result->scene;
  for (const ScenePage& page : scene.pages) {
    for (const SceneItem& item : page.items) {
      if (item.mark != Mark::stem) continue;
      const auto& line = std::get<LineShape>(item.shape);
      // Measured to the beam's outer edge (0.1 past the drawn line) from the head's middle (0.168 before it).
      const double scale = line.width / Engraving::stem;
      RC_ASSERT(std::fabs(line.to.y - line.from.y) + (0.1 + 0.168) * scale >= 2.5 * scale - 1e-6);
    }
  }
}

RC_GTEST_PROP(Page, ItemsOfANoteLieInTheirBar, ()) {
  const auto result = engrave(random_handout(), {}, random_options(), test::music_font());
  RC_ASSERT(result.ok());
  const Scene& scene = result->scene;
  // Right edges of bars by their bar lines, page by page and system by system.
  std::map<int, double> edges;
  std::map<int, std::pair<int, double>> spans;
  for (const ScenePage& page : scene.pages) {
    for (const SceneItem& item : page.items) {
      if (item.mark == Mark::bar_line && item.bar >= 0) {
        const Box box = box_of(item.shape, test::music_font());
        edges[item.bar] = std::max(edges.count(item.bar) > 0 ? edges[item.bar] : 0.0, box.right);
      }
    }
  }
  for (const SceneSystem& system : scene.systems) {
    for (int bar = system.first_bar; bar <= system.last_bar; ++bar)
      spans[bar] = {bar, bar == system.first_bar ? system.left : edges[bar - 1]};
  }
  std::map<int, int> lines;  // of each bar; one that goes on in the next line has two
  for (const SceneSystem& system : scene.systems) {
    for (int bar = system.first_bar; bar <= system.last_bar; ++bar) ++lines[bar];
  }
  for (const ScenePage& page : scene.pages) {
    for (const SceneItem& item : page.items) {
      const bool crosses = item.mark == Mark::tie || item.mark == Mark::slur || item.mark == Mark::slide ||
                           item.mark == Mark::tab_slur || item.mark == Mark::tab_slide || item.mark == Mark::technique;
      if (item.note.note < 0 || item.bar < 0 || crosses || lines[item.bar] > 1) continue;  // a loom has no bars
      const Box box = box_of(item.shape, test::music_font());
      RC_ASSERT((box.left >= spans[item.bar].second - 1e-6 && box.right <= edges[item.bar] + 1e-6));
    }
  }
}

// Equal durations get equal space unless a rod holds one apart (Gourlay/Renz): measured on the drawn columns.
RC_GTEST_PROP(Page, EqualDurationsGetEqualSpace, ()) {
  const Handout handout = random_handout();
  const SheetOptions options;
  const IdeaSheet& idea = handout.ideas[0];
  const auto plan = plan_passage({{&idea, &idea.feels[0], 0}}, "i1f1", test::music_font(), options);
  RC_ASSERT(plan.ok());
  SystemInput input;
  input.plan = &plan.value();
  input.force = 0.6 + *rc::gen::inRange(0, 200) / 100.0;
  for (const MeasuredBar& bar : plan->sections[0].bars) input.bars.push_back(&bar);
  const SystemDrawing drawing = engrave_system(input, test::music_font(), options);
  std::map<std::string, double> spaces;
  std::size_t column = 0;
  for (const MeasuredBar* bar : input.bars) {
    const RhythmBar& rhythm = plan->scores[0].rhythm.bars[static_cast<std::size_t>(bar->bar)];
    for (std::size_t i = 0; i < bar->gaps.size(); ++i, ++column) {
      if (i + 1 == bar->gaps.size()) continue;  // the last gap runs to the bar line
      const double space = drawing.columns[column + 1] - drawing.columns[column];
      RC_ASSERT(space >= bar->gaps[i].rod - 1e-9);
      if (space <= bar->gaps[i].rod + 1e-9) continue;
      const auto [at, fresh] =
          spaces.emplace(rhythm.events[i + static_cast<std::size_t>(bar->first)].duration.value.to_string(), space);
      RC_ASSERT(std::fabs(at->second - space) < 1e-6);
    }
  }
}

TEST(Page, EveryNoteHasItsPlaceForACursor) {
  const Handout demo = test::demo_handout();
  const Engraved sheet = engraved(demo, {});
  const auto places = note_places(sheet.scene);
  std::size_t notes = 0;
  for (const Passage& passage : sheet.scene.passages) notes += passage.notes.size();
  ASSERT_EQ(places.size(), notes);
  for (std::size_t i = 1; i < places.size(); ++i) {
    const bool same_line = places[i].system == places[i - 1].system;
    EXPECT_TRUE(!same_line || places[i].x > places[i - 1].x);
  }
}

RC_GTEST_PROP(Page, EveryNoteIsDrawnOnceOnEachStaff, ()) {
  const Handout handout = random_handout();
  const auto result = engrave(handout, {}, random_options(), test::music_font());
  RC_ASSERT(result.ok());
  std::map<int, int> heads;
  std::map<int, int> frets;
  for (const ScenePage& page : result->scene.pages) {
    for (const SceneItem& item : page.items) {
      if (item.mark == Mark::notehead) ++heads[item.note.note];
      if (item.mark == Mark::fret && std::get<TextShape>(item.shape).text.front() != '(') ++frets[item.note.note];
    }
  }
  const auto count = static_cast<int>(handout.ideas[0].feels[0].notes.size());
  for (int i = 0; i < count; ++i) {
    RC_ASSERT(heads[i] >= 1);  // tied notes have several
    RC_ASSERT(frets[i] == 1);
  }
}

/// Twelve a beat in large print: the bar goes on in the next line, without a bar line there, its notes at their full
/// size and each of them once.
TEST(Page, ABarThatNoLineHoldsGoesOnInTheNext) {
  std::string notes;
  for (int i = 0; i < 48; ++i) notes += " " + std::to_string(6 - i / 8) + ":" + std::to_string(12 + i % 5);
  const Handout handout = test::handout_of({"name L\nkey E dorian\nvamp Em7\nfeel 12\nnotes" + notes});
  SheetOptions options;
  options.staff_space = k_large_print.staff_space;
  const Engraved sheet = engraved(handout, options);
  EXPECT_TRUE(sheet.findings.findings().empty());
  ASSERT_GE(sheet.scene.systems.size(), 2U);
  std::map<int, int> heads;
  std::size_t ends = 0;
  std::size_t names = 0;
  for (const ScenePage& page : sheet.scene.pages) {
    for (const SceneItem& item : page.items) {
      if (item.mark == Mark::notehead) ++heads[item.note.note];
      const auto* line = std::get_if<LineShape>(&item.shape);
      if (item.mark == Mark::bar_line && item.bar >= 0 && line != nullptr && line->from.x == line->to.x) ++ends;
      const auto* text = std::get_if<TextShape>(&item.shape);
      if (item.mark == Mark::chord && text != nullptr && text->text == "E") ++names;
    }
  }
  EXPECT_EQ(heads.size(), 48U);
  for (const auto& [note, count] : heads) EXPECT_EQ(count, 1);
  EXPECT_EQ(ends, 4U) << "thin lines of both staves: repeat signs at the bar's two ends alone";
  EXPECT_EQ(names, sheet.scene.systems.size()) << "the chord again where a line begins";
  for (const SceneSystem& system : sheet.scene.systems) {
    EXPECT_EQ(system.scale, 1);
    EXPECT_EQ(system.first_bar, 0);
    EXPECT_EQ(system.last_bar, 0);
  }
}

TEST(Page, NineStringsOnANarrowPageAreScaledAndSaid) {
  const Handout handout =
      test::handout_of({"name Nine\ntuning C#1 F#1 B1 E2 A2 D3 G3 B3 E4\nkey F# dorian\nfeel 12\nnotes 9:15 9:17 9:18 "
                        "8:14 8:15 8:17 7:14 7:15 7:17 6:14 6:15 6:17 "
                        "5:14 5:16 5:17 4:14 4:16 4:17 3:14 3:16 3:18 2:15 2:17 2:19 1:15 1:17 1:19"});
  SheetOptions options;
  options.paper = Paper{Millimetres(56), Millimetres(150), Millimetres(5), PaperKind::sheet};
  const Engraved sheet = engraved(handout, options);
  ASSERT_EQ(sheet.findings.findings().size(), 1U);
  EXPECT_EQ(sheet.findings.findings()[0].code, "sheet-bar-too-dense");
  EXPECT_EQ(sheet.findings.findings()[0].where, (KeyPath{1, "notes_per_beat"}));
  for (const SceneSystem& system : sheet.scene.systems) {
    EXPECT_LT(system.scale, 1);
    EXPECT_LE(system.right, 51 / 1.6 + 1e-6);
  }
}

TEST(Page, BadInputIsNamed) {
  const MusicFont& font = test::music_font();
  EXPECT_FALSE(engrave(Handout{}, {}, {}, font));
  EXPECT_FALSE(engrave(IdeaSheet{}, 0, {}, font));
  EXPECT_FALSE(engrave(test::demo_handout(), {}, {}, MusicFont{}));
  SheetOptions options;
  options.staff_space = Millimetres(0.1);
  EXPECT_FALSE(engrave(test::demo_handout(), {}, options, font));
  options = {};
  options.paper.width = Millimetres(30);
  EXPECT_FALSE(engrave(test::demo_handout(), {}, options, font));
  Handout half = test::demo_handout();
  half.ideas[1].feels[0].notes.clear();
  half.ideas[2].feels[1].notes[0].string = 9;
  half.ideas[2].number = 7;  // an idea in error leaves a gap
  const auto sheet = engrave(half, {}, {}, font);
  ASSERT_TRUE(sheet);
  const auto& findings = sheet->findings.findings();
  ASSERT_EQ(findings.size(), 2U);
  EXPECT_EQ(findings[0].code, "sheet-idea-empty");
  EXPECT_EQ(findings[0].where, (KeyPath{2, ""}));
  EXPECT_EQ(findings[0].message, "at 4 a beat, there are no notes to draw, so this music is left out");
  EXPECT_EQ(findings[1].code, "sheet-idea-unwritable");
  EXPECT_EQ(findings[1].where, (KeyPath{7, ""}));
  EXPECT_EQ(findings[1].message,
            "at 4 a beat, a note lies on string 9; the instrument has 6, so this music is left out");
}

/// From a note with its stem up to one with its stem down, over the beat: the bow would drop by the stem's length.
TEST(Page, SlursAreNotSteep) {
  for (const char* notes : {"r 3:0 h3:4 r", "r 3:4 p3:0 r"}) {
    const Engraved sheet =
        engraved(test::handout_of({"name S\nkey C ionian\nfeel 2\nnotes " + std::string(notes)}), {});
    const BowShape& slur = only_slur(sheet);
    EXPECT_LE(std::fabs(slur.to.y - slur.from.y), std::max(0.8, 0.3 * (slur.to.x - slur.from.x)) + 1e-9) << notes;
  }
}

/// A bow that a line's end cuts stops inside the margin, as everything does.
RC_GTEST_PROP(Page, CutSlursStayInsideTheMargins, ()) {
  const SheetOptions options = random_options();
  const auto result = engrave(random_handout(), {}, options, test::music_font());
  RC_ASSERT(result.ok());
  const double margin = options.paper.margin.value / options.staff_space.value;
  for (const ScenePage& page : result->scene.pages) {
    for (const SceneItem& item : page.items) {
      const auto* bow = std::get_if<BowShape>(&item.shape);
      if (bow == nullptr) continue;
      RC_ASSERT((bow->from.x >= margin && bow->to.x <= page.width - margin));
    }
  }
}

/// No slur rises or falls more than a little of its width, whatever its notes do, and none is a tower.
RC_GTEST_PROP(Page, SlursAreNeverSteepHooks, ()) {
  const auto result = engrave(random_handout(), {}, random_options(), test::music_font());
  RC_ASSERT(result.ok());
  for (const ScenePage& page : result->scene.pages) {
    for (const SceneItem& item : page.items) {
      if (item.mark != Mark::slur) continue;
      const auto& bow = std::get<BowShape>(item.shape);
      const double width = bow.to.x - bow.from.x;
      const double scale = bow.middle / Engraving::slur_middle;
      RC_ASSERT(std::fabs(bow.to.y - bow.from.y) <= std::max(0.8 * scale, 0.3 * width) + 1e-6);
      const Point top = on_bow(bow, 0.5);
      RC_ASSERT(std::fabs(top.y - (bow.from.y + bow.to.y) / 2) <= std::max(1.2 * scale, 0.45 * width) + 1e-6);
    }
  }
}

/// Each blocked change has its cross between its two notes, and the repair stands under the first of them alone.
TEST(Page, BlockedChangesAreMarkedWithTheirRepair) {
  const std::string repair = "hammer on to the second note of every three, and all are free";
  Handout handout =
      test::handout_of({"name B\nfeel 4\nblocked 3 9\nnotes 6:12 6:14 6:15 5:12 5:14 5:16 4:12 4:14 4:16 "
                        "3:12 3:14 3:16 2:14 2:15 2:17 1:14"});
  const Engraved sheet = engraved(handout, {}, {"", {{"", "", "", {}, repair}}, ""});
  std::map<int, double> heads;
  std::vector<Box> strokes;
  int crosses = 0;
  for (const SceneItem& item : sheet.scene.pages[0].items) {
    const Box box = box_of(item.shape, test::music_font());
    if (item.mark == Mark::notehead) heads[item.note.note] = (box.left + box.right) / 2;
    const auto* line = std::get_if<LineShape>(&item.shape);
    if (item.mark != Mark::blocked || line == nullptr) continue;
    if (line->from.y == line->to.y)
      strokes.push_back(box);
    else
      ++crosses;
  }
  ASSERT_EQ(strokes.size(), 2U);
  EXPECT_EQ(crosses, 2 * 3) << "two in the music, one before the repair";
  for (const auto& [stroke, note] : {std::pair{strokes[0], 2}, std::pair{strokes[1], 8}}) {
    EXPECT_GT(stroke.left, heads[note]);
    EXPECT_LT(stroke.right, heads[note + 1]);
  }
  const auto said = said_on_page(sheet, 0);
  EXPECT_EQ(std::count(said.begin(), said.end(), repair), 1);
}

int count_of(const Engraved& sheet, Mark mark) {
  int count = 0;
  for (const ScenePage& page : sheet.scene.pages)
    count += static_cast<int>(
        std::count_if(page.items.begin(), page.items.end(), [&](const SceneItem& item) { return item.mark == mark; }));
  return count;
}

TEST(Page, RepeatSignsOnlyWhereTheVampTurnsToo) {
  const std::string bar = "name R\nfeel 1\nnotes 6:12 6:14 6:15 6:14";
  const auto repeats = [&](const std::string& more, RepeatSigns signs) {
    SheetOptions options;
    options.repeats = signs;
    return count_of(engraved(test::handout_of({bar + more}), options), Mark::repeat_sign);
  };
  EXPECT_GT(repeats("\nvamp Em7", RepeatSigns::automatic), 0);
  EXPECT_EQ(repeats("\nvamp Em7 | A7", RepeatSigns::automatic), 0);
  EXPECT_EQ(repeats(" 6:12\nvamp Em7", RepeatSigns::automatic), 0);  // no whole bar
  EXPECT_EQ(repeats("\nvamp Em7", RepeatSigns::never), 0);
}

/// The second idea starts on the chord that sounds already, and says it again; its name is level with "ending".
TEST(Page, EveryIdeaOfTheEtudeSaysItsChord) {
  const std::string idea = "name I\nfeel 4\nvamp Em7\nnotes 6:12 6:14 6:15 6:14 5:12 5:14 5:16 5:14";
  SheetOptions options;
  const Engraved sheet = engraved(test::handout_of({idea + " end 4:12x8", idea}), options);
  const auto etude = static_cast<int>(sheet.scene.passages.size()) - 1;
  ASSERT_EQ(sheet.scene.passages.back().id, "etude");
  const auto system = std::find_if(sheet.scene.systems.begin(), sheet.scene.systems.end(),
                                   [&](const SceneSystem& s) { return s.passage == etude; });
  ASSERT_NE(system, sheet.scene.systems.end());
  EXPECT_EQ(system->last_bar, 1) << "both ideas on one line";
  int chords = 0;
  std::set<double> rows;
  for (const SceneItem& item : sheet.scene.pages[static_cast<std::size_t>(system->page)].items) {
    const Box box = box_of(item.shape, test::music_font());
    if (box.top < system->box.top - 1e-6 || box.bottom > system->box.bottom + 1e-6) continue;
    if (item.mark == Mark::chord && std::get<TextShape>(item.shape).text == "E") ++chords;
    if (item.mark == Mark::ending) rows.insert(std::get<TextShape>(item.shape).at.y);
  }
  EXPECT_EQ(chords, 2);
  EXPECT_EQ(rows.size(), 1U);
}

std::vector<Box> boxes_of(const Engraved& sheet, Mark mark) {
  std::vector<Box> boxes;
  for (const ScenePage& page : sheet.scene.pages) {
    for (const SceneItem& item : page.items) {
      if (item.mark == mark) boxes.push_back(box_of(item.shape, test::music_font()));
    }
  }
  return boxes;
}

TEST(Page, ARepeatSignKeepsOffTheTimeSignature) {
  const Engraved sheet = engraved(
      test::handout_of({"name R\nfeel 4\nvamp Em7\nnotes 6:12 6:14 6:15 6:14 5:12 5:14 5:16 5:14 5:12 5:14 5:16 "
                        "5:14 5:12 5:14 5:16 5:14"}),
      {});
  ASSERT_EQ(count_of(sheet, Mark::repeat_sign), 8);
  double signature = 0;
  for (const Box& box : boxes_of(sheet, Mark::time_signature)) signature = std::max(signature, box.right);
  double heavy = 1e9;
  for (const Box& box : boxes_of(sheet, Mark::bar_line)) {
    if (box.left > signature) heavy = std::min(heavy, box.left);
  }
  EXPECT_GE(heavy - signature, 0.7);
  EXPECT_LE(heavy - signature, 1.2);
}

TEST(Page, StrokesStandOffTheOttava) {
  const Engraved sheet = engraved(test::handout_of({"name O\nfeel 4\nnotes 1:17 1:19 1:21 1:22"}), {});
  const auto ottava = boxes_of(sheet, Mark::ottava);
  ASSERT_FALSE(ottava.empty());
  double top = 1e9;
  for (const Box& box : ottava) top = std::min(top, box.top);
  for (const Box& box : boxes_of(sheet, Mark::stroke)) EXPECT_GE(top - box.bottom, 0.85);
}

/// A dashed line across the double bar line would bind two ideas into one.
TEST(Page, AnOttavaEndsWithItsIdea) {
  const std::string idea = "name O\nfeel 4\nnotes 1:17 1:19 1:21 1:22";
  const Engraved sheet = engraved(test::handout_of({idea, idea}), {});
  const auto& system = sheet.scene.systems.back();
  ASSERT_EQ(system.last_bar, 1);
  int signs = 0;
  for (const SceneItem& item : sheet.scene.pages[static_cast<std::size_t>(system.page)].items) {
    const Box box = box_of(item.shape, test::music_font());
    if (item.mark == Mark::ottava && std::holds_alternative<GlyphShape>(item.shape) && box.top >= system.box.top)
      ++signs;
  }
  EXPECT_EQ(signs, 2);
}

/// A slide over a line's end starts on the first line and arrives on the next, on both staves, and falls where
/// the frets do.
TEST(Page, ASlideOverALinesEndShowsOnBothLines) {
  for (const char* target : {"s6:14", "s6:3"}) {
    const std::string bar = " 6:5 6:7 6:8 6:7 6:5 6:7 6:8 6:7 6:5 6:7 6:8 6:7 6:5 6:7 6:8 6:7";
    SheetOptions options;
    options.paper = Paper{Millimetres(120), Millimetres(200), Millimetres(8), PaperKind::sheet};
    options.prose = options.neck = false;
    const Engraved sheet =
        engraved(test::handout_of({"name S\nfeel 4\nnotes" + bar + " " + target + bar.substr(4)}), options);
    ASSERT_EQ(sheet.scene.systems.size(), 2U);
    for (const Mark mark : {Mark::slide, Mark::tab_slide}) {
      std::vector<LineShape> lines;
      for (const SceneItem& item : sheet.scene.pages[0].items) {
        if (item.mark == mark) lines.push_back(std::get<LineShape>(item.shape));
      }
      ASSERT_EQ(lines.size(), 2U) << name(mark);
      EXPECT_EQ(lines[0].from.y > lines[0].to.y, lines[1].from.y > lines[1].to.y);
      EXPECT_EQ(lines[0].from.y > lines[0].to.y, std::string(target) == "s6:14");
      EXPECT_GE(lines[0].to.x - lines[0].from.x, 0.7);
      EXPECT_LT(lines[0].to.x, sheet.scene.systems[0].right);
    }
  }
}

/// Between two digits of a string the line shows everywhere or nowhere, at every width.
TEST(Page, DashesBetweenDigitsNeverLookLikeDots) {
  for (const double width : {70.0, 90.0, 120.0, 180.0}) {
    SheetOptions options;
    options.paper = Paper{Millimetres(width), Millimetres(200), Millimetres(5), PaperKind::sheet};
    options.prose = options.neck = false;
    const Engraved sheet = engraved(
        test::handout_of({"name D\nfeel 4\nnotes 6:12 6:7 6:12 6:14 6:9 6:5 6:3 6:10 6:12 6:15 6:14 6:15"}), options);
    for (const SceneItem& item : sheet.scene.pages[0].items) {
      if (item.mark != Mark::tab_line) continue;
      const auto& line = std::get<LineShape>(item.shape);
      EXPECT_GE(line.to.x - line.from.x, 0.38 * sheet.scene.systems[0].scale - 1e-9) << width;
    }
  }
}

TEST(Page, EveryIdeaHasABookmarkAndTheEtudeItsOwn) {
  const Engraved sheet = engraved(test::demo_handout(), {});
  ASSERT_EQ(sheet.scene.bookmarks.size(), 7U);
  EXPECT_EQ(sheet.scene.bookmarks.front().title, "1. Six that folds back");
  EXPECT_EQ(sheet.scene.bookmarks[5].title, "All ideas in a row");
  EXPECT_EQ(sheet.scene.bookmarks.back().title, "The ladder");
  EXPECT_EQ(sheet.scene.passages.back().id, "etude");
}

TEST(Page, ChosenFeelsAlone) {
  SheetOptions options;
  options.only = {{1, 1}, {4, 0}};
  const Engraved sheet = engraved(test::demo_handout(), options);
  ASSERT_EQ(sheet.scene.passages.size(), 2U);
  EXPECT_EQ(sheet.scene.passages[0].id, "i2f2");
  EXPECT_EQ(sheet.scene.passages[1].id, "i5f1");
}

/// A diagram of many frets goes below the words rather than into rows beside them.
TEST(Page, WideNecksStandBelowTheWords) {
  const auto neck_of = [](const char* notes) {
    SheetOptions options;
    options.vamp = options.signs = options.ladder = options.loom = false;
    const Engraved sheet = engraved(test::handout_of({"name W\nrule 1 2\nfeel 4\nnotes " + std::string(notes)}),
                                    options, {"", {{"Two notes a string.", "", "", {}}}, ""});
    Box neck;
    Box words;
    for (const SceneItem& item : sheet.scene.pages[0].items) {
      const Box box = box_of(item.shape, test::music_font());
      const auto* text = std::get_if<TextShape>(&item.shape);
      if (text != nullptr && text->text == "Two notes a string.") words = box;
      if (item.mark == Mark::neck) neck.add(box);
    }
    return std::pair{neck, words};
  };
  const auto [narrow, beside] = neck_of("6:5 6:7 5:5 5:7 4:8");
  EXPECT_GT(narrow.left, beside.right);
  const auto [wide, above] = neck_of("6:5 6:7 5:12 5:14 4:24");
  EXPECT_GT(wide.top, above.bottom);
  EXPECT_GT(wide.width(), 80);
}

TEST(Page, LongNamesAreBrokenOrCut) {
  const std::string name =
      "A name that goes on and on and says all that was ever played on six strings, twice, and more";
  const std::string notes = "\nfeel 4\nnotes 6:12 6:14 6:15 6:14 5:12 5:14 5:16 5:14";
  Handout handout = test::handout_of({"name " + name + notes, "name " + name + notes, "name " + name + notes});
  handout.prose.title = name + ", " + name;
  handout.prose.author = name + ", " + name + ", " + name;
  handout.prose.licence = name + ", " + name + ", " + name;
  const Engraved sheet = engraved(handout, {});
  const double right = (210 - 14) / 1.6 + 1e-6;
  std::string author;
  for (const ScenePage& page : sheet.scene.pages) {
    for (const SceneItem& item : page.items) {
      const auto* text = std::get_if<TextShape>(&item.shape);
      if (text == nullptr) continue;
      EXPECT_LE(box_of(item.shape, test::music_font()).right, right) << text->text;
      if (item.mark == Mark::author) author += text->text + " ";
    }
  }
  EXPECT_EQ(author, handout.prose.author + " ") << "broken, not cut";
}

/// However long title and author are, the foot of the page keeps the licence whole; the running head gives way.
TEST(Page, TheFooterKeepsTheLicence) {
  Handout handout = test::demo_handout();
  handout.prose.version = "1.2";
  for (const std::string licence : {"CC BY-SA 4.0",
                                    "CC BY-SA 4.0, but for the tune in the middle, which somebody else wrote and "
                                    "which may be copied only with a friendly word to that person"}) {
    handout.prose.licence = licence;
    for (const std::size_t length : {20U, 60U, 110U, 200U}) {
      handout.prose.title = std::string(length, 'n');
      const Engraved sheet = engraved(handout, {});
      std::set<double> tops;
      for (std::size_t page = 0; page < sheet.scene.pages.size(); ++page) {
        std::string foot;
        std::string head;
        double top = 1e9;
        for (const SceneItem& item : sheet.scene.pages[page].items) {
          if (item.mark != Mark::footer && item.mark != Mark::running_head) continue;
          const auto& text = std::get<TextShape>(item.shape);
          EXPECT_LT(box_of(item.shape, test::music_font()).right, (210 - 14) / 1.6 + 1e-6);
          if (text.anchor == Anchor::end) continue;  // number and chapter
          (item.mark == Mark::footer ? foot : head) += text.text + " ";
          if (item.mark == Mark::footer) top = std::min(top, text.at.y);
        }
        EXPECT_NE(foot.find(licence + " \u00b7 version 1.2"), std::string::npos) << foot;
        EXPECT_EQ(head.rfind("nnnnn", 0), page == 0 ? std::string::npos : 0) << head;
        tops.insert(top);
      }
      EXPECT_EQ(tops.size(), 1U);
    }
  }
}

/// An idea that does not fit below the title gives its text to the first page and its music to the next.
TEST(Page, NoPageIsLeftToTheTitleAlone) {
  for (const double width : {95.0, 210.0}) {
    SheetOptions options;
    options.paper = Paper{Millimetres(width), Millimetres(250), Millimetres(8), PaperKind::sheet};
    options.staff_space = width > 200 ? k_large_print_space : k_staff_space;
    const Engraved sheet = engraved(test::demo_handout(), options, test::demo_sentences());
    EXPECT_EQ(sheet.scene.bookmarks.front().page, 0) << width;
  }
}

/// What a page says, top to bottom.
TEST(Page, SaysSentencesProofNoteEndingsCautionsAndImprint) {
  Handout handout = test::demo_handout();
  handout.prose.copyright = "\u00a9 2026 Demo Teacher";
  handout.prose.version = "1.2";
  const Engraved sheet = engraved(handout, {}, test::demo_sentences());
  std::string said;
  for (std::size_t page = 0; page < sheet.scene.pages.size(); ++page)
    said += join(said_on_page(sheet, page), " ") + " ";
  const std::string first = join(said_on_page(sheet, 0), " ");
  EXPECT_NE(first.find(test::demo_sentences().cautions), std::string::npos);
  EXPECT_NE(first.find("\u00a9 2026 Demo Teacher \u00b7 Demo, free to copy \u00b7 version 1.2 1 of "),
            std::string::npos);
  std::size_t at = 0;
  for (const std::string& part :
       {std::string("Climbing sixes"), std::string("Demo Teacher"), test::demo_sentences().lesson, handout.prose.intro,
        std::string("Vamp"), std::string("Signs"), std::string("1. Six that folds back"),
        test::demo_sentences().ideas[0].rule, test::demo_sentences().ideas[0].idea,
        test::demo_sentences().ideas[0].proof, std::string("Keep the wrist quiet."), std::string("4 notes a beat"),
        test::demo_sentences().ideas[0].endings[0], std::string("Em7"), std::string("6 notes a beat"),
        test::demo_sentences().ideas[0].endings[1], std::string("The ladder"), std::string("120")}) {
    at = said.find(part, at);
    ASSERT_NE(at, std::string::npos) << part << " is missing, or out of order, in\n" << said;
  }
}

/// A sentence that is missing leaves no label and no room.
TEST(Page, WithoutSentencesTheirLinesAreLeftOut) {
  const Engraved sheet = engraved(test::demo_handout(), {});
  const std::string said = join(said_on_page(sheet, 0), "\n") + join(said_on_page(sheet, 1), "\n");
  EXPECT_NE(said.find("Keep the wrist quiet."), std::string::npos);
  const auto first_line = [&](const LessonSentences& sentences) {
    const SceneSystem system = engraved(test::demo_handout(), {}, sentences).scene.systems[0];
    return std::pair{system.page, system.box.top};
  };
  EXPECT_LT(first_line({}), first_line(test::demo_sentences()));
}

/// Prose, notation, bookmark, id and label in the etude all call an idea by its number in the lesson.
TEST(Page, AnIdeaIsCalledByItsNumberInTheLesson) {
  const std::string notes = "feel 4\nnotes 6:12 6:14 6:15 6:14";
  Handout handout = test::handout_of({"name First\n" + notes, notes});
  handout.ideas[1].number = 3;
  const Engraved sheet = engraved(handout, {});
  EXPECT_EQ(sheet.scene.bookmarks[0].title, "1. First");
  EXPECT_EQ(sheet.scene.bookmarks[1].title, "Idea 3");
  EXPECT_EQ(sheet.scene.passages[1].id, "i3f1");
  EXPECT_EQ(sheet.scene.passages[1].notes[0].idea, 3);
  int said = 0;
  for (std::size_t page = 0; page < sheet.scene.pages.size(); ++page) {
    const auto texts = said_on_page(sheet, page);
    said += static_cast<int>(std::count(texts.begin(), texts.end(), "Idea 3"));
  }
  EXPECT_EQ(said, 3) << "heading, row and ladder";
}

TEST(Page, IsDescribedForReadersWhoHearIt) {
  Handout handout = test::handout_of({"name One\nkey A minor\nfeels 4 6\nnotes 6:5 6:7", "feel 1\nnotes 6:5"});
  const Engraved sheet = engraved(handout, {}, {"", {{"Play two notes.", "", "", {}}}, ""});
  EXPECT_EQ(
      sheet.scene.description,
      "Climbing sixes by Demo Teacher, A minor. Notation over tab. Idea 1, One. Play two notes. 4 notes a beat: 2 "
      "notes. 6 notes a beat: 2 notes. Idea 2. 1 note a beat: 1 note.");
}

/// One feel for a drawing: its music alone, called as on the page.
TEST(Page, OneFeelOfAnIdeaStandsAlone) {
  const Handout demo = test::demo_handout();
  SheetOptions options;
  options.paper = k_strip;
  const auto strip = engrave(demo.ideas[1], 1, options, test::music_font());
  ASSERT_TRUE(strip);
  ASSERT_EQ(strip->scene.passages.size(), 1U);
  EXPECT_EQ(strip->scene.passages[0].id, "i2f2");
  options.only = {{1, 1}};
  EXPECT_EQ(to_text(strip->scene), to_text(engraved(demo, options).scene));
}

/// No line of prose is longer than an eye can follow back, none ends a paragraph with a stray short word.
TEST(Page, ProseIsSetInReadableLines) {
  const TextMetrics metrics;
  const Engraved sheet = engraved(test::demo_handout(), {}, test::demo_sentences());
  for (const ScenePage& page : sheet.scene.pages) {
    for (const SceneItem& item : page.items) {
      const auto* text = std::get_if<TextShape>(&item.shape);
      if (text == nullptr || item.mark != Mark::prose) continue;
      EXPECT_LE(text->width, 36 * text->size) << text->text;
    }
  }
  const std::string words = "Every string change follows an upstroke, so that the pick is free.";
  for (const double width : {20.0, 30.0, 40.0, 50.0}) {
    const auto lines = paragraph_lines(metrics, words, k_prose, width);
    EXPECT_EQ(join(lines, " "), words);
    EXPECT_EQ(lines.size(), break_lines(metrics, words, k_prose.style, k_prose.size, width).size());
    EXPECT_GE(metrics.width(lines.back(), k_prose.style, k_prose.size), 0.22 * width) << width;
  }
}

}  // namespace
}  // namespace fretloom::sheet
