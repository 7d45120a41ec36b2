// The loom against the facts of `notes --json`, read for itself here, and against what an eye needs.

#include "sheet/loom.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <optional>
#include <set>
#include <sstream>
#include <string>
#include <tuple>
#include <vector>

#include "base/text.h"
#include "exchange/random_lesson.h"
#include "lesson/compile.h"
#include "lesson/notes_json.h"
#include "sheet/build.h"
#include "sheet/engrave.h"
#include "sheet/loom_drawing.h"
#include "sheet/svg.h"

namespace fretloom::sheet {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::json;

const MusicFont& font() { return test::music_font(); }

std::string lesson_of(const std::string& idea) {
  return "format = 1\ntitle = \"T\"\nkey = \"E dorian\"\n[layout]\nfrom = 12\n[[idea]]\n" + idea;
}
IdeaSheet compiled(const std::string& lesson) {
  Handout handout = make_handout(compile_lesson(lesson));
  EXPECT_FALSE(handout.ideas.empty()) << lesson;
  return handout.ideas.empty() ? IdeaSheet{} : std::move(handout.ideas.front());
}

// --- Against notes --json ---

/// A note as it is played: slot, units, string, fret, stroke, accent, role.
using Played = std::tuple<int, int, int, int, std::string, bool, Role>;

/// What a feel plays, put together of the rule's own notes and the ending as docs/notes.schema.json describes them.
struct Facts {
  int start = 0;
  int body = 0;
  std::vector<Played> notes;
  std::vector<std::pair<int, bool>> changes;  ///< after note, free
};

Played played(const Json& note, int start, Role role) {
  const std::string stroke = note["stroke"].is_null() ? "" : note["stroke"].get<std::string>();
  return {start + note["unit"].get<int>(), note["units"], note["string"], note["fret"], stroke, note["accent"], role};
}

int slot_of(const std::string& beats, int k) {
  const auto parts = split(beats, '/');
  const int num = parse_int(parts[0]).value_or(0);
  const int den = parts.size() > 1 ? parse_int(parts[1]).value_or(1) : 1;
  return num * k / den;
}

Facts facts_of(const Json& idea, const Json& feel) {
  Facts facts;
  const Json& ending = feel["ending"];
  const int k = feel["notes_per_beat"];
  facts.start = ending.is_null()
                    ? slot_of(feel["onsets"][0].get<std::string>(), k) - idea["notes"][0]["unit"].get<int>()
                    : ending["start_slot"].get<int>();
  for (const Json& note : idea["notes"]) facts.notes.push_back(played(note, facts.start, Role::rule));
  if (!ending.is_null()) {
    const int slot = ending["slot"];
    std::erase_if(facts.notes, [&](const Played& note) { return std::get<0>(note) >= slot; });  // a trim's
    int& units = std::get<1>(facts.notes.back());
    const int room = slot - std::get<0>(facts.notes.back());
    if (ending["kind"] == "hold") units = room;
    units = std::min(units, room);
  }
  facts.body = static_cast<int>(facts.notes.size());
  for (const Json& change : idea["changes"]) {
    if (change["after_note"].get<int>() < facts.body) facts.changes.emplace_back(change["after_note"], change["free"]);
  }
  if (ending.is_null()) return facts;
  for (const Json& note : ending["fill"]) facts.notes.push_back(played(note, facts.start, Role::fill));
  facts.notes.push_back(played(ending["landing"], facts.start, Role::landing));
  for (const Json& change : ending["changes"]) facts.changes.emplace_back(change["after_note"], change["free"]);
  return facts;
}

std::vector<Played> played_by(const Loom& loom) {
  std::vector<Played> notes;
  for (const LoomKnot& knot : loom.knots) {
    EXPECT_TRUE(knot.slot.is_whole() && knot.units.is_whole());
    const std::string stroke = knot.kind == KnotKind::down ? "D" : knot.kind == KnotKind::up ? "U" : "";
    notes.emplace_back(knot.slot.num(), knot.units.num(), knot.string, knot.fret, stroke, knot.accent, knot.role);
  }
  return notes;
}

/// Every band holds its repetition's notes and no others, side by side from the idea's first unit to its last.
bool bands_fit(const Loom& loom, const Json& idea, const Facts& facts) {
  const int units = idea["units"];
  const int repeats = idea["repeats"];
  Rational at(facts.start);
  for (const LoomBand& band : loom.bands) {
    if (band.from != at || band.to <= band.from) return false;
    at = band.to;
    const BandKind wanted = loom.knots[band.first].role != Role::rule ? BandKind::ending
                            : band.repeat == 1                        ? BandKind::rule
                            : band.repeat <= repeats                  ? BandKind::again
                                                                      : BandKind::back;
    if (band.kind != wanted) return false;
    if (band.kind != BandKind::ending && band.from != Rational(facts.start + (band.repeat - 1) * units)) return false;
    for (std::size_t i = 0; i < loom.knots.size(); ++i) {
      const bool inside = loom.knots[i].slot >= band.from && loom.knots[i].slot < band.to;
      const bool own = static_cast<int>(i) < facts.body
                           ? band.kind != BandKind::ending && idea["notes"][i]["repeat"] == band.repeat
                           : band.kind == BandKind::ending;
      if (inside != own) return false;
    }
  }
  return at == loom.rows.back().to;
}

/// Rows hold all of the time once; each break lies between two repetitions where all of those fit a row.
bool rows_fit(const Loom& loom, int most) {
  bool all_fit = true;
  for (const LoomBand& band : loom.bands) all_fit = all_fit && band.to - band.from <= Rational(most);
  const Rational origin = loom.rows.front().from;
  all_fit = all_fit && loom.bands.front().to - origin <= Rational(most);  // a late start's silence, too
  for (std::size_t i = 0; i < loom.rows.size(); ++i) {
    const LoomRow& row = loom.rows[i];
    if (row.to - row.from > Rational(most) || row.to <= row.from) return false;
    if (i > 0 && row.from != loom.rows[i - 1].to) return false;
    const bool at_band =
        std::any_of(loom.bands.begin(), loom.bands.end(), [&](const LoomBand& band) { return band.from == row.from; });
    if (i > 0 && all_fit && !at_band) return false;
  }
  return true;
}

/// The looms of a lesson against its JSON. `kinds`: the endings that were met.
void expect_agreement(const std::string& text, int most, std::set<std::string>& kinds) {
  const CompiledLesson lesson = compile_lesson(text);
  const Handout handout = make_handout(lesson);
  const Json json = Json::parse(notes_json(lesson));
  ASSERT_EQ(json["ideas"].size(), handout.ideas.size());
  for (std::size_t i = 0; i < handout.ideas.size(); ++i) {
    for (std::size_t f = 0; f < handout.ideas[i].feels.size(); ++f) {
      const Json& feel = json["ideas"][i]["feels"][f];
      const Facts facts = facts_of(json["ideas"][i], feel);
      const Loom loom = lay_loom(handout.ideas[i], handout.ideas[i].feels[f], most);
      EXPECT_EQ(played_by(loom), facts.notes) << text;
      std::vector<std::pair<int, bool>> gates;
      for (const LoomGate& gate : loom.gates) gates.emplace_back(gate.after, gate.free);
      EXPECT_EQ(gates, facts.changes) << text;
      EXPECT_TRUE(bands_fit(loom, json["ideas"][i], facts)) << text << to_text(loom);
      EXPECT_TRUE(rows_fit(loom, most)) << text << to_text(loom);
      kinds.insert(feel["ending"].is_null() ? "none" : feel["ending"]["kind"].get<std::string>());
    }
  }
}

TEST(Loom, AgreesWithNotesJson) {
  std::set<std::string> kinds;
  for (const char* kind : {"fill", "hold", "late", "trim"}) {
    for (const char* cell : {"1 2 3", "1 3 2 3 + 2 1", "r 1 2 h3 x2 + 1", "1 2 3 2 1", "3 p1 2 r + 1 h2 h3 r"})
      expect_agreement(lesson_of("cell = \"" + std::string(cell) +
                                 "\"\nnotes_per_beat = [4, 3, 5]\nending = { kind = \"" + kind + "\" }\n"),
                       20, kinds);
  }
  for (std::uint32_t seed = 1; seed <= 120; ++seed)
    expect_agreement(random_lesson(seed), 8 + static_cast<int>(seed % 40), kinds);
  EXPECT_EQ(kinds, (std::set<std::string>{"fill", "hold", "late", "none", "trim"})) << "each ending was met";
}

// The worked example of DESIGN.md, section 5: its strokes, changes and endings were computed by hand there.
TEST(Loom, DrawsTheWorkedExample) {
  const IdeaSheet idea = compiled(lesson_of("cell = \"1 3 2 3 + 2 1\"\nnotes_per_beat = [4]\n"));
  const Loom loom = lay_loom(idea, idea.feels[0], 40);
  ASSERT_EQ(loom.knots.size(), 33U);
  for (std::size_t i = 0; i < 30; ++i) EXPECT_EQ(loom.knots[i].kind, i % 2 == 0 ? KnotKind::down : KnotKind::up);
  std::vector<std::size_t> after;
  for (const LoomGate& gate : loom.gates) {
    after.push_back(gate.after);
    EXPECT_TRUE(gate.free);
  }
  EXPECT_EQ(after, (std::vector<std::size_t>{4, 10, 16, 22, 28}));
  EXPECT_EQ(loom.bands.size(), 6U);
  EXPECT_EQ(loom.knots.back().slot, Rational(32));
  EXPECT_EQ(loom.knots.back().fret, 19);
  EXPECT_EQ(loom.knots.back().role, Role::landing);
}

TEST(Loom, SharesALaneAmongAllItsPlaces) {
  const IdeaSheet idea = compiled(
      lesson_of("cell = \"1 2 3 2\"\nstart = { string = 1 }\ncarry = { strings = 0, steps = 1 }\nrepeats = 2\n"));
  const Loom loom = lay_loom(idea, idea.feels[0], 40);
  for (const LoomLane& lane : loom.lanes) EXPECT_EQ(lane.touched, lane.string == 1);
  for (const LoomKnot& knot : loom.knots) {
    EXPECT_GE(knot.place, loom.lanes[0].low);
    EXPECT_LE(knot.place, loom.lanes[0].high);
  }
}

TEST(Loom, StartsALateIdeaWithItsBar) {
  for (std::uint32_t seed = 1; seed <= 60; ++seed) {
    for (const IdeaSheet& idea : make_handout(compile_lesson(random_lesson(seed))).ideas) {
      for (const Score& score : idea.feels) {
        const Loom loom = lay_loom(idea, score, 40);
        const Beats origin{loom.rows.front().from / Rational(score.notes_per_beat)};
        if (score.start.value <= Rational(0)) {
          EXPECT_EQ(origin, score.start);
        } else {
          EXPECT_EQ(beat_in_bar(idea.meter, origin).value, Rational(0));
          EXPECT_EQ(bar_of(idea.meter, origin), bar_of(idea.meter, score.start));
        }
      }
    }
  }
}

// --- As drawn ---

struct Drawn {
  Loom loom;
  std::vector<LoomRowDrawing> rows;
};
Drawn drawn(const IdeaSheet& idea, const Score& score, double width, const SheetOptions& options = {}) {
  Drawn out;
  out.loom = lay_loom(idea, score, loom_units(loom_size(idea, options), width));
  out.rows = draw_loom(out.loom, idea, score, 0, width, options, font());
  return out;
}

/// What lies over a knot's digit would be unreadable, so texts are held against knots and each other as the ink lies:
/// capitals and digits to their height, letters with tails below.
Box ink_of(const SceneItem& item) {
  Box box = box_of(item.shape, font());
  if (const auto* text = std::get_if<TextShape>(&item.shape)) box.top = text->at.y - text->size * k_cap_height;
  return box;
}

/// The first pair of words, or of a word and a knot, that overlap; empty where none do.
std::string collision(const LoomRowDrawing& row) {
  std::vector<const SceneItem*> texts;
  std::vector<const SceneItem*> knots;
  for (const SceneItem& item : row.items) {
    if (item.mark == Mark::knot) knots.push_back(&item);
    if (std::holds_alternative<TextShape>(item.shape) && item.mark != Mark::knot_fret) texts.push_back(&item);
  }
  for (std::size_t i = 0; i < texts.size(); ++i) {
    const Box box = ink_of(*texts[i]);
    const std::string& words = std::get<TextShape>(texts[i]->shape).text;
    for (std::size_t j = 0; j < i; ++j) {
      if (box.overlaps(ink_of(*texts[j]))) return words + " over " + std::get<TextShape>(texts[j]->shape).text;
    }
    for (const SceneItem* knot : knots) {
      if (box.overlaps(ink_of(*knot).grown(-0.02))) return words + " over a knot";
    }
  }
  return "";
}

/// Random lessons on random widths: nothing outside the drawing, each note's fret written once and on its own, every
/// change a ring or a cross, every word apart, every digit large enough.
TEST(LoomDrawing, HoldsEverythingApart) {
  int blocked = 0;
  int said = 0;
  for (std::uint32_t seed = 1; seed <= 120; ++seed) {
    SheetOptions options;
    if (seed % 3 == 0) options.set_paper(screen_paper(390));
    if (seed % 3 == 1) options.set_print(k_large_print);
    const double width = seed % 3 == 0 ? 54 : 40 + 7 * (seed % 11);
    for (const IdeaSheet& idea : make_handout(compile_lesson(random_lesson(seed))).ideas) {
      const Score& score = idea.feels[0];
      const Drawn loom = drawn(idea, score, width, options);
      std::vector<std::string> frets(score.notes.size());
      int rings = 0;
      int crosses = 0;
      for (const LoomRowDrawing& row : loom.rows) {
        EXPECT_EQ(collision(row), "") << seed;
        for (const SceneItem& item : row.items) {
          const Box box = box_of(item.shape, font());
          EXPECT_GE(box.top, -1e-9) << seed << ' ' << name(item.mark);
          EXPECT_LE(box.bottom, row.height + 1e-9) << seed << ' ' << name(item.mark);
          EXPECT_GE(box.left, -1e-9) << seed << ' ' << name(item.mark);
          EXPECT_LE(box.right, width + 1.5) << seed << ' ' << name(item.mark);
          const auto* text = std::get_if<TextShape>(&item.shape);
          EXPECT_TRUE(text == nullptr || text->size >= smallest_text(options) - 1e-9);
          if (item.mark == Mark::knot_fret)
            frets[static_cast<std::size_t>(item.note.note)] += std::get<TextShape>(item.shape).text;
          if (item.mark == Mark::gate) (item.tone == Tone::blocked ? crosses : rings) += 1;
          if (item.mark == Mark::gate_word) ++said;
        }
      }
      for (std::size_t i = 0; i < frets.size(); ++i) EXPECT_EQ(frets[i], std::to_string(score.notes[i].fret)) << seed;
      const auto free =
          std::count_if(loom.loom.gates.begin(), loom.loom.gates.end(), [](const LoomGate& g) { return g.free; });
      EXPECT_EQ(rings, 2 * free) << seed;
      EXPECT_EQ(crosses, 2 * (static_cast<std::ptrdiff_t>(loom.loom.gates.size()) - free)) << seed;
      blocked += crosses / 2;
    }
  }
  EXPECT_GE(blocked, 100);
  EXPECT_GE(said * 10, blocked * 8) << "the word stands beside most crosses";
}

/// A unit is never narrower than 24 of the thirteenths of the digits' em that the design counts in.
TEST(LoomDrawing, UnitsKeepTheirWidth) {
  const IdeaSheet idea = compiled(lesson_of("cell = \"1 3 2 3 + 2 1\"\nnotes_per_beat = [4]\n"));
  for (const double width : {40.0, 60.0, 113.75}) {
    const SheetOptions options;
    const Drawn loom = drawn(idea, idea.feels[0], width);
    const double least = 24 * loom_size(idea, options).digit / 13;
    for (const LoomRowDrawing& row : loom.rows) {
      std::vector<double> xs;
      for (const SceneItem& item : row.items) {
        if (item.mark == Mark::knot_fret) xs.push_back(std::get<TextShape>(item.shape).at.x);
      }
      for (std::size_t i = 1; i < xs.size(); ++i) EXPECT_GE(xs[i] - xs[i - 1], least - 1e-9) << width;
    }
  }
  EXPECT_EQ(drawn(idea, idea.feels[0], 113.75).rows.size(), 1U) << "the worked example fits a line of A4";
}

TEST(LoomDrawing, NamesItsBands) {
  const IdeaSheet idea = compiled(lesson_of("cell = \"1 3 2 3 + 2 1\"\nnotes_per_beat = [4]\nback = \"retrograde\"\n"));
  std::vector<std::string> names;
  for (const LoomRowDrawing& row : drawn(idea, idea.feels[0], 113.75).rows) {
    for (const SceneItem& item : row.items) {
      if (item.mark == Mark::band_name) names.push_back(std::get<TextShape>(item.shape).text);
    }
  }
  const std::string colon = "\u2009:\u2009";
  ASSERT_GE(names.size(), 8U);
  EXPECT_EQ(names[0], "the rule");
  EXPECT_EQ(names[1], "again, 5" + colon + "12");
  EXPECT_EQ(names[4], "again, 2" + colon + "14");
  EXPECT_EQ(names[5], "back, 1" + colon + "14");
}

/// The ids of loom and music are the same, so that both show the note that sounds; each stands once in a file.
TEST(LoomDrawing, SharesItsNotesWithTheMusic) {
  Handout handout = make_handout(compile_lesson(lesson_of("cell = \"1 2 3\"\nnotes_per_beat = [3]\n")));
  const auto sheet = engrave(handout, {}, {}, font());
  ASSERT_TRUE(sheet);
  std::set<NoteRef> knots;
  std::set<NoteRef> heads;
  for (const ScenePage& page : sheet->scene.pages) {
    for (const SceneItem& item : page.items) {
      if (item.mark == Mark::knot) knots.insert(item.note);
      if (item.mark == Mark::notehead) heads.insert(item.note);
    }
  }
  EXPECT_EQ(knots, heads);
  const std::vector<KnotPlace> places = knot_places(sheet->scene, font());
  ASSERT_EQ(places.size(), handout.ideas[0].feels[0].notes.size());
  for (std::size_t i = 0; i < places.size(); ++i) {
    EXPECT_EQ(places[i].note, (NoteRef{0, static_cast<int>(i)}));
    if (i == 0) continue;
    EXPECT_FALSE(places[i].box.overlaps(places[i - 1].box)) << "a tap finds one note";
    EXPECT_GT(places[i].box.left, places[i - 1].box.left);
  }
}

// --- Goldens ---

/// Each file of golden_loom/ is a lesson, then its first feels' looms as text and as drawn on 60 staff spaces.
/// FRETLOOM_REWRITE=loom rewrites them.
TEST(LoomGolden, EveryCaseStands) {
  const char* rewrite = std::getenv("FRETLOOM_REWRITE");
  int cases = 0;
  std::vector<fs::path> files;
  for (const auto& entry : fs::directory_iterator(fs::path(FRETLOOM_SOURCE_DIR) / "tests/sheet/golden_loom"))
    files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  for (const fs::path& path : files) {
    std::stringstream found;
    found << std::ifstream(path, std::ios::binary).rdbuf();
    const std::string input = found.str().substr(0, found.str().find("=== "));
    const IdeaSheet idea = compiled(input);
    ASSERT_FALSE(idea.feels.empty()) << path;
    const Drawn loom = drawn(idea, idea.feels[0], 60);
    std::string expected = input + "=== loom\n" + to_text(loom.loom);
    Scene scene;
    scene.passages.push_back({"i1f1", {}});
    for (const LoomRowDrawing& row : loom.rows) scene.pages.push_back({60, row.height, row.items});
    expected += "=== drawn, a page a row\n" + to_text(scene);
    if (rewrite != nullptr && std::string(rewrite) == "loom") std::ofstream(path, std::ios::binary) << expected;
    EXPECT_EQ(found.str(), expected) << path;
    ++cases;
  }
  EXPECT_GE(cases, 6);
}

/// The looms that docs/engraving.md shows are what the code draws. FRETLOOM_REWRITE=docs rewrites them.
TEST(LoomGolden, PicturesOfTheDocsStand) {
  const char* rewrite = std::getenv("FRETLOOM_REWRITE");
  constexpr double k_width = 106;
  constexpr double k_margin = 1;
  const auto svg_of = [&](const std::string& lesson) {
    const IdeaSheet idea = compiled(lesson);
    Scene scene;
    scene.title = idea.rule.text;
    scene.passages.push_back({"i1f1", {}});
    const Drawn loom = drawn(idea, idea.feels[0], k_width);
    EXPECT_EQ(loom.rows.size(), 1U);
    ScenePage page{k_width + 2 * k_margin, loom.rows[0].height + 2 * k_margin, {}};
    for (const SceneItem& item : loom.rows[0].items) page.items.push_back(transformed(item, 1, {k_margin, k_margin}));
    scene.pages.push_back(page);
    return write_svg(scene, font());
  };
  const std::pair<const char*, std::string> pictures[] = {
      {"loom.svg", lesson_of("cell = \"1 3 2 3 + 2 1\"\nrepeats = 4\nnotes_per_beat = [4]\n")},
      {"loom-blocked.svg", lesson_of("cell = \"1! 2 h3 r + 3x2 2 1\"\nrepeats = 3\nnotes_per_beat = [4]\n")},
  };
  for (const auto& [file, lesson] : pictures) {
    const std::string svg = svg_of(lesson);
    const fs::path path = fs::path(FRETLOOM_SOURCE_DIR) / "docs" / file;
    if (rewrite != nullptr && std::string(rewrite) == "docs") std::ofstream(path, std::ios::binary) << svg;
    std::stringstream found;
    found << std::ifstream(path, std::ios::binary).rdbuf();
    EXPECT_TRUE(found.str() == svg) << path;
    EXPECT_NE(svg.find(std::string(file) == "loom.svg" ? "class=\"gate\"" : "class=\"gate blocked\""),
              std::string::npos);
  }
}

}  // namespace
}  // namespace fretloom::sheet
