// The oracle against what is written down: both worked examples of DESIGN section 5 ("computed twice"), and the tables
// of REFERENCES.md (sources named there).
#include <gtest/gtest.h>

#include <cmath>
#include <string>
#include <tuple>
#include <vector>

#include "oracle/oracle.h"

namespace oracle {
namespace {

const std::vector<int> k_standard = {40, 45, 50, 55, 59, 64};

// DESIGN section 4, the file: "Six that folds back".
Idea folds_back() {
  Idea idea;
  idea.scale = {"E", {"1", "2", "b3", "4", "5", "6", "b7"}};
  idea.neck.open = k_standard;
  idea.layout.from = 12;
  idea.rule = "1 3 2 3 + 2 1";
  return idea;
}

std::vector<Note> played(const Idea& idea) {
  Expansion expansion = expand(idea);
  EXPECT_EQ(expansion.error, "");
  assign_strokes(expansion.notes, idea.picking, idea.first_stroke);
  return expansion.notes;
}

std::string strokes(const std::vector<Note>& notes) {
  std::string out;
  for (const Note& note : notes) out += note.stroke == 0 ? '.' : note.stroke;
  return out;
}

std::string sounded(const std::vector<Note>& notes) {
  std::string out;
  for (const Visit& visit : visits(notes)) out += (out.empty() ? "" : " ") + std::to_string(visit.sounded);
  return out;
}

std::string described(const std::vector<Change>& all) {
  std::string out;
  for (const Change& c : all) {
    out += std::to_string(c.after_note) + ":" + std::to_string(c.from) + ">" + std::to_string(c.to) + c.last + c.first +
           " " + c.type + (c.free ? "" : "!") + "; ";
  }
  return out;
}

// ---- First worked example --------------------------------------------------------------------------------

TEST(WorkedExample, Layout) {
  const Idea idea = folds_back();
  EXPECT_TRUE(check_layout(idea.scale, idea.neck, idea.layout).legal);
  EXPECT_EQ(list_layout(layout(idea.scale, idea.neck, idea.layout)),
            "12 14 15 | 12 14 16 | 12 14 16 | 12 14 16 | 14 15 17 | 14 15 17");
  double widest = 0;
  for (const auto& row : layout(idea.scale, idea.neck, idea.layout)) {
    widest = std::max(widest, reach_mm(648, row.front(), row.back()));
  }
  EXPECT_NEAR(widest, 66.8, 0.05);
}

TEST(WorkedExample, NotesVisitsStrokesAndChanges) {
  const std::vector<Note> notes = played(folds_back());
  EXPECT_EQ(expand(folds_back()).repeats, 5);
  EXPECT_EQ(expand(folds_back()).group, 6);
  EXPECT_EQ(expand(folds_back()).units, 30);
  EXPECT_EQ(list_notes(notes),
            "6: 12 15 14 15 | 5: 14 12 12 16 14 16 | 4: 14 12 12 16 14 16 | 3: 14 12 12 16 14 16 | "
            "2: 15 14 14 17 15 17 | 1: 15 14");
  EXPECT_EQ(sounded(notes), "4 6 6 6 6 2");
  EXPECT_EQ(strokes(notes), "DUDUDUDUDUDUDUDUDUDUDUDUDUDUDU");
  EXPECT_EQ(described(changes(notes, Clear::upstroke)),
            "4:6>5UD inside; 10:5>4UD inside; 16:4>3UD inside; 22:3>2UD inside; 28:2>1UD inside; ");
  EXPECT_EQ(blocked(notes, Clear::upstroke).upstroke, 0);
  EXPECT_EQ(blocked(notes, Clear::upstroke).downstroke, 5);
  EXPECT_EQ(notes[1].midi, 55);  // string 6 open is E2 = 40, fret 15
  EXPECT_EQ(notes[1].pitch, "G3");
  EXPECT_EQ(notes[1].degree, "b3");
  EXPECT_EQ(notes[1].ordinal, 3);
}

TEST(WorkedExample, Repair) {
  Idea idea = folds_back();
  EXPECT_FALSE(repair(idea).needed);
  idea.clear_after = Clear::downstroke;
  const Repair found = repair(idea);
  EXPECT_TRUE(found.possible);
  EXPECT_EQ(found.first_stroke, 'U');
  EXPECT_EQ(found.slurs, 0);
  EXPECT_EQ(found.rule, idea.rule);
  EXPECT_TRUE(found.ties.empty());
}

Vamp em7_a7() {
  return {{{.root = 4, .third = 7, .fifth = 11, .seventh = 2}}, {{.root = 9, .third = 1, .fifth = 4, .seventh = 7}}};
}

// "fill 20; hold 24": the options in their order.
std::string listed(const std::vector<Ending>& all) {
  std::string out;
  for (const Ending& e : all) out += (out.empty() ? "" : "; ") + e.kind + " " + std::to_string(e.slot);
  return out;
}

TEST(WorkedExample, FourABeatLandsOnB) {
  const auto all = endings(folds_back(), *meter("4/4"), em7_a7(), {0, 1}, 4, {});
  ASSERT_FALSE(all.empty());
  EXPECT_EQ(all[0].kind, "fill");
  EXPECT_EQ(all[0].slot, 32);
  EXPECT_EQ(list_notes(all[0].fill), "1: 15 17");
  EXPECT_EQ(list_notes({all[0].landing}), "1: 19");
  EXPECT_EQ(all[0].landing.pitch, "B5");
  EXPECT_EQ(all[0].tone, "5");
  EXPECT_EQ(all[0].landing.stroke, 'D');
  EXPECT_EQ(played(folds_back()).back().unit, 29);
}

TEST(WorkedExample, SixABeatTurnsAtTheLayoutsEndAndLandsOnE) {
  const auto all = endings(folds_back(), *meter("4/4"), em7_a7(), {0, 1}, 6, {});
  ASSERT_FALSE(all.empty());
  EXPECT_EQ(all[0].kind, "fill");
  EXPECT_EQ(all[0].slot, 36);
  EXPECT_EQ(list_notes(all[0].fill), "1: 15 17 15 14 | 2: 17 15");
  EXPECT_EQ(list_notes({all[0].landing}), "2: 17");
  EXPECT_EQ(all[0].landing.pitch, "E5");
  EXPECT_EQ(all[0].tone, "5");
  EXPECT_EQ(all[0].landing.stroke, 'D');
  EXPECT_EQ(all[0].blocked, 0);
}

TEST(WorkedExample, RetrogradeIsOutsideAfterUp) {
  Idea idea = folds_back();
  idea.back = Back::retrograde;
  const std::vector<Note> notes = played(idea);
  ASSERT_EQ(notes.size(), 60U);
  EXPECT_EQ(list_notes({notes.begin() + 29, notes.begin() + 33}), "1: 14 14 15 | 2: 17");
  const auto all = changes(notes, Clear::upstroke);
  ASSERT_EQ(all.size(), 10U);
  for (std::size_t i = 5; i < 10; ++i) {
    EXPECT_EQ(all[i].type, "outside");
    EXPECT_EQ(all[i].last, 'U');
  }
  EXPECT_EQ(blocked(notes, Clear::upstroke).own, 0);
}

TEST(WorkedExample, MirroredStart) {
  Idea idea = folds_back();
  idea.back = Back::mirrored;
  const std::vector<Note> notes = played(idea);
  ASSERT_EQ(notes.size(), 60U);
  EXPECT_EQ(list_notes({notes.begin() + 30, notes.begin() + 36}), "1: 17 14 15 14 | 2: 15 17");
  const auto all = changes(notes, Clear::upstroke);
  for (std::size_t i = 5; i < all.size(); ++i) EXPECT_EQ(all[i].type, "outside");
}

TEST(WorkedExample, SixRepeatsHaveNoString) {
  Idea idea = folds_back();
  idea.repeats = 6;
  EXPECT_EQ(expand(idea).error, "there is no string 0");
}

// By hand, from the words of section 5. Four a beat, three repetitions: units 0 to 17, strong slots every 8. The line
// lands on 24 or, as that gap is longer than a beat, on 20; or it is cut at 16, inside the last group (12 to 17).
TEST(Endings, AllKinds) {
  Idea idea = folds_back();
  idea.repeats = 3;
  const auto all = endings(idea, *meter("4/4"), em7_a7(), {0, 1}, 4, {});
  ASSERT_EQ(listed(all), "fill 20; hold 20; late 20; hold 24; late 24; trim 16; fill 24");
  // All of bar 2 is A7. From B4 (3: 16) the root A is one step back, C# (the third) one on.
  EXPECT_EQ(list_notes(all[0].fill), "3: 14 16");
  EXPECT_EQ(list_notes({all[0].landing}), "3: 14");
  EXPECT_FALSE(all[0].same_direction);
  EXPECT_EQ(all[0].units_changed, 2);
  // From G4 (3: 12) one step on is A.
  EXPECT_EQ(list_notes({all[1].landing}), "3: 14");
  EXPECT_TRUE(all[1].same_direction);
  EXPECT_EQ(all[1].body.back().units, 3);
  EXPECT_EQ(all[2].start_slot, 2);
  EXPECT_EQ(all[4].start_slot, 6);
  // F#4 is left (4: 16), two steps below A.
  EXPECT_EQ(all[5].body.size(), 16U);
  EXPECT_EQ(all[5].units_changed, 2);
  EXPECT_EQ(list_notes({all[5].landing}), "3: 14");
  // The change to string 1 follows a downstroke: D U, D U D, U.
  EXPECT_EQ(list_notes(all[6].fill), "3: 14 16 | 2: 14 15 17 | 1: 14");
  EXPECT_EQ(all[6].blocked, 1);
  EXPECT_EQ(list_notes({all[6].landing}), "1: 17");
}

TEST(Endings, AKindAskedForComesFirst) {
  Idea idea = folds_back();
  idea.repeats = 3;
  EXPECT_EQ(listed(endings(idea, *meter("4/4"), em7_a7(), {0, 1}, 4, {{}, "", "late"})),
            "late 20; late 24; fill 20; hold 20; hold 24; trim 16; fill 24");
  EXPECT_EQ(listed(endings(idea, *meter("4/4"), em7_a7(), {0, 1}, 4, {On::strong, "", "hold"})),
            "hold 24; late 24; trim 16; fill 24");
}

// Six a beat in 3/4: one repetition ends on beat 2, where nothing need be added; the next bar is two beats away.
TEST(Endings, TheIdeaEndsOnABeatFarFromTheStrongOne) {
  Idea idea = folds_back();
  idea.repeats = 1;
  const auto all = endings(idea, *meter("3/4"), em7_a7(), {0, 1}, 6, {});
  ASSERT_EQ(all.size(), 4U);
  EXPECT_EQ(all[0].kind + " " + std::to_string(all[0].slot), "fill 6");
  EXPECT_TRUE(all[0].fill.empty());
  EXPECT_EQ(list_notes({all[0].landing}), "5: 14");  // from A3 on to B, the fifth of Em7
}

// A note is held over the rests behind it; a pick-up never lands before bar 1.
TEST(Endings, RestsAndPickUps) {
  Idea idea = folds_back();
  idea.rule = "1 2 3 r2";
  EXPECT_NE(expand(idea).error, "");
  idea.rule = "1 2 3 rx2";
  idea.repeats = 1;
  const auto all = endings(idea, *meter("4/4"), em7_a7(), make(-4, 1), 4, {});
  ASSERT_EQ(listed(all).substr(0, 6), "hold 0") << listed(all);  // the fill would have eleven notes, more than four
  EXPECT_EQ(all[0].body.back().units, 14);
  EXPECT_EQ(all[0].units_changed, 11);
}

TEST(Endings, NoGapNoFillAndOnWords) {
  const auto all = endings(folds_back(), *meter("4/4"), em7_a7(), {0, 1}, 5, {});
  ASSERT_EQ(all.size(), 1U);  // 30 units end on beat 6, bar 2 beat 3
  EXPECT_EQ(all[0].slot, 30);
  EXPECT_TRUE(all[0].fill.empty());
  EXPECT_EQ(landing_slot(*meter("4/4"), 4, 0, 30, On::beat), 32);
  EXPECT_EQ(landing_slot(*meter("4/4"), 4, 0, 33, On::beat), 36);
  EXPECT_EQ(landing_slot(*meter("4/4"), 4, 0, 33, On::strong), 40);
  EXPECT_EQ(landing_slot(*meter("4/4"), 4, 0, 33, On::bar), 48);
  EXPECT_EQ(landing_slot(*meter("2+2+3/8"), 2, 0, 5, On::strong), 8);
  EXPECT_EQ(landing_slot(*meter("4/4"), 4, -6, 3, On::bar), 0);
}

TEST(Endings, AnAskedDegree) {
  const auto all = endings(folds_back(), *meter("4/4"), em7_a7(), {0, 1}, 4, {On::bar, "1", ""});
  ASSERT_FALSE(all.empty());
  EXPECT_EQ(all[0].kind, "fill");
  EXPECT_EQ(all[0].landing.pitch, "E5");  // A5 before it: E is more than two steps away, and E6 lies far up the neck
  EXPECT_EQ(all[0].steps, 3);
  const auto third = endings(folds_back(), *meter("4/4"), em7_a7(), {0, 1}, 4, {On::bar, "b7", ""});
  EXPECT_EQ(third[0].landing.degree, "b7");
}

// ---- Second worked example -------------------------------------------------------------------------------

TEST(SecondExample, PentatonicThreeAString) {
  const Scale scale{"c#", {"1", "b3", "4", "5", "b7"}};
  Neck neck;
  neck.open = k_standard;
  LayoutSpec spec;
  spec.from = 9;
  EXPECT_EQ(list_layout(layout(scale, neck, spec)), "9 12 14 | 11 14 16 | 14 16 18 | 16 18 21 | 19 21 24 | 21 24 26");
  const LayoutCheck check = check_layout(scale, neck, spec);
  EXPECT_FALSE(check.legal);
  EXPECT_EQ(check.string, 1);
  EXPECT_EQ(check.fret, 26);
  EXPECT_EQ(check.nearest_from, 7);
  EXPECT_NEAR(reach_mm(648, 9, 14), 96.7, 0.05);
  spec.notes = {2};
  EXPECT_TRUE(check_layout(scale, neck, spec).legal);
  EXPECT_EQ(list_layout(layout(scale, neck, spec)), "9 12 | 9 11 | 9 11 | 9 11 | 9 12 | 9 12");
}

// ---- REFERENCES.md ---------------------------------------------------------------------------------------

TEST(References, FretTable) {
  const double mm[24] = {36.37,  70.70,  103.10, 133.68, 162.55, 189.79, 215.51, 239.79,
                         262.70, 284.32, 304.73, 324.00, 342.18, 359.35, 375.55, 390.84,
                         405.27, 418.90, 431.76, 443.89, 455.35, 466.16, 476.37, 486.00};
  for (int fret = 1; fret <= 24; ++fret) EXPECT_NEAR(fret_mm(648, fret), mm[fret - 1], 0.005 + 1e-9) << fret;
  EXPECT_NEAR(fret_mm(25.5, 1), 1.431, 0.0005);
  EXPECT_NEAR(fret_mm(25.5, 24), 19.125, 0.0005);
  EXPECT_NEAR(reach_mm(648, 1, 5), 126.2, 0.05);
  EXPECT_NEAR(reach_mm(648, 5, 9), 100.1, 0.05);
  EXPECT_NEAR(reach_mm(648, 12, 16), 66.8, 0.05);
}

TEST(References, Realignment) {
  const int rows[7][9] = {{5, 4, 4, 20, 4, 5, 80, 16, 5}, {7, 4, 4, 28, 4, 7, 112, 16, 7},
                          {6, 4, 4, 12, 2, 3, 48, 8, 3},  {10, 6, 4, 30, 3, 5, 120, 12, 5},
                          {8, 3, 4, 24, 3, 8, 24, 3, 2},  {9, 5, 4, 45, 5, 9, 180, 20, 9},
                          {7, 6, 3, 42, 6, 7, 126, 18, 7}};
  for (const auto& row : rows) {
    const Met beat = meets(row[0], row[1]);
    const Met bar = meets(row[0], row[1] * row[2]);
    EXPECT_EQ(std::make_tuple(beat.notes, beat.groups, beat.times), std::make_tuple(row[3], row[4], row[5])) << row[0];
    EXPECT_EQ(std::make_tuple(bar.notes, bar.groups, bar.times), std::make_tuple(row[6], row[7], row[8])) << row[0];
  }
}

// "2 strings, 6 notes: ... 18,750 without immediate repeat, 1,200 even-run, of which 1,008 use both strings" (counted
// in REFERENCES.md by brute force and Burnside): parse, expand and count the visits of every cell.
TEST(References, EvenRunCells) {
  int distinct = 0, even = 0, both = 0;
  for (int code = 0; code < 46656; ++code) {
    std::vector<std::pair<int, int>> symbols;
    for (int rest = code, i = 0; i < 6; ++i, rest /= 6) symbols.emplace_back(rest % 6 / 3, rest % 3 + 1);
    bool repeated = false;
    std::vector<Note> notes;
    for (std::size_t i = 0; i < 6; ++i) {
      repeated = repeated || (i > 0 && symbols[i] == symbols[i - 1]);
      Note note;
      note.string = symbols[i].first + 1;
      notes.push_back(note);
    }
    if (repeated) continue;
    ++distinct;
    bool all_even = true;
    for (const Visit& visit : visits(notes)) all_even = all_even && visit.picked % 2 == 0;
    if (!all_even) continue;
    ++even;
    if (visits(notes).size() > 1) ++both;
  }
  EXPECT_EQ(distinct, 18750);
  EXPECT_EQ(even, 1200);
  EXPECT_EQ(both, 1008);
}

// "B#3 is MIDI 60, Cb4 is 59"; "thickest open string E2 = 40".
TEST(Spelling, OctavesFollowTheLetter) {
  EXPECT_EQ(midi_of("B#3"), 60);
  EXPECT_EQ(midi_of("cb4"), 59);
  EXPECT_EQ(midi_of("E2"), 40);
  EXPECT_EQ(midi_of("B\xE2\x99\xAD"
                    "1"),
            34);
  const Scale c_sharp{"C#", {"1", "2", "3", "4", "5", "6", "7"}};
  EXPECT_EQ(spell(c_sharp, 60).pitch, "B#3");
  EXPECT_EQ(spell(c_sharp, 61).pitch, "C#4");
  const Scale g_flat{"Gb", {"1", "2", "3", "4", "5", "6", "7"}};
  EXPECT_EQ(spell(g_flat, 59).pitch, "Cb4");
  const Scale e_dorian = folds_back().scale;
  EXPECT_EQ(spell(e_dorian, 55).pitch, "G3");
  EXPECT_EQ(spell(e_dorian, 55).degree, "b3");
  EXPECT_EQ(spell(e_dorian, 55, 1).pitch, "G#3");  // an altered ordinal keeps its degree's letter
  EXPECT_EQ(spell(e_dorian, 55, 1).degree, "3");
  EXPECT_EQ(spell(e_dorian, 54, 1).pitch, "F##3");
  EXPECT_EQ(spell(e_dorian, 55, -1).degree, "bb3");
}

// ---- Layouts ---------------------------------------------------------------------------------------------

// Common practice, no source: the open E minor pentatonic box, and three octaves of a two-string pattern.
TEST(Layouts, PositionAndOctaves) {
  Neck neck;
  neck.open = k_standard;
  LayoutSpec box;
  box.kind = Kind::position;
  box.width = 4;
  EXPECT_EQ(list_layout(layout({"E", {"1", "b3", "4", "5", "b7"}}, neck, box)), "0 3 | 0 2 | 0 2 | 0 2 | 0 3 | 0 3");
  LayoutSpec octaves;
  octaves.kind = Kind::octaves;
  octaves.notes = {4, 3};
  octaves.from = 5;
  // A major: A B C# D | E F# G#, then the same two strings thinner: 12 - 10 = 2 frets up, then 12 - 9 = 3.
  EXPECT_EQ(list_layout(layout({"A", {"1", "2", "3", "4", "5", "6", "7"}}, neck, octaves)),
            "5 7 9 10 | 7 9 11 | 7 9 11 12 | 9 11 13 | 10 12 14 15 | 12 14 16");
}

TEST(Layouts, CapoCountsFromTheCapo) {
  Neck neck;
  neck.open = k_standard;
  neck.capo = 2;
  const Scale f_sharp{"F#", {"1", "2", "b3", "4", "5", "b6", "b7"}};
  LayoutSpec spec;
  const auto frets = layout(f_sharp, neck, spec);
  EXPECT_EQ(frets[0], (std::vector<int>{0, 2, 3}));
  EXPECT_EQ(sounding(neck, 6, 0), 42);
  EXPECT_TRUE(on_neck(neck, 22));
  EXPECT_FALSE(on_neck(neck, 23));
}

TEST(Layouts, ATuningThatDoesNotAscend) {
  Neck neck;
  neck.open = {67, 60, 64, 69};
  const Scale c{"C", {"1", "2", "3", "4", "5", "6", "7"}};
  EXPECT_FALSE(check_layout(c, neck, {}).legal);
  LayoutSpec position;
  position.kind = Kind::position;
  EXPECT_TRUE(check_layout(c, neck, position).legal);
}

// ---- Rules -----------------------------------------------------------------------------------------------

TEST(Rules, CellsThatReadAndCellsThatDoNot) {
  for (const char* text : {"1", "1 h3 p2", "1 r", "r 1", "1 + + 2", "4", "1 s2#!x3", "1 ++ 2 - 3 rx2", "1 h2 s3 p1"}) {
    EXPECT_EQ(parse_cell(text).error, "") << text;
  }
  for (const char* text : {"",   " ",   "+ 1", "1 +", "h1", "1 r h2", "1 + h2", "1 + - 2", "1 +- 2", "0",   "-1", "1x0",
                           "1x", "1!#", "1##", "hr",  "r!", "1+2",    "H1",     "1 h",     "r",      "1.5", "01"}) {
    EXPECT_NE(parse_cell(text).error, "") << text;
  }
  EXPECT_EQ(parse_cell("1 ++ 2").tokens[1].move, 2);
  EXPECT_EQ(parse_cell("1 3\xE2\x99\xAD!x2").tokens[1].alteration, -1);
  EXPECT_EQ(parse_cell("1 3\xE2\x99\xAD!x2").tokens[1].units, 2);
  EXPECT_EQ(parse_sequence("1 h2 0 -1").tokens[3].ordinal, -1);
  for (const char* text : {"1 + 2", "1 - 2", "--1", "1 -", "h1", "-0"})
    EXPECT_NE(parse_sequence(text).error, "") << text;
}

// ---- Expansion -------------------------------------------------------------------------------------------

TEST(Expansion, FoursUpTheScale) {
  Idea idea = folds_back();
  idea.sequence = true;
  idea.rule = "1 2 3 4";
  idea.carry_steps = 1;
  const Expansion out = expand(idea);
  EXPECT_EQ(out.repeats, 15);  // 18 notes hold 15 complete fours
  EXPECT_EQ(list_notes({out.notes.begin(), out.notes.begin() + 8}), "6: 12 14 15 | 5: 12 | 6: 14 15 | 5: 12 14");
  EXPECT_EQ(list_notes({out.notes.end() - 4, out.notes.end()}), "2: 17 | 1: 14 15 17");
}

TEST(Expansion, CarryByStepsReanchorsTheLayout) {
  Idea idea = folds_back();
  idea.layout.from = 0;
  idea.rule = "1 h2 p1";
  idea.carry_strings = 0;
  idea.carry_steps = 2;
  idea.start_string = 1;
  const Expansion out = expand(idea);
  // String 1 from open: per-string three from E on the thickest gives F#4 G4 A4 ... counted by hand on the neck:
  // 6: 0 2 3 | 5: 0 2 4 | 4: 0 2 4 | 3: 0 2 4 | 2: 2 3 5 | 1: 2 3 5.
  EXPECT_EQ(list_notes({out.notes.begin(), out.notes.begin() + 6}), "1: 2 3 2 5 7 5");
  EXPECT_EQ(out.notes[1].attack, "hammer");
  EXPECT_EQ(out.notes[2].attack, "pull");
  EXPECT_EQ(out.notes.back().fret, 22);  // starts F#2 A5 C#9 E12 G15 B19 D22, and 22 24 22 is the last that fits
  EXPECT_EQ(out.repeats, 7);
}

TEST(Expansion, RetrogradeMovesSlursAndRests) {
  Idea idea = folds_back();
  idea.rule = "1 h3 r 2!x2";
  idea.repeats = 1;
  idea.back = Back::retrograde;
  const Expansion out = expand(idea);
  EXPECT_EQ(list_notes(out.notes), "6: 12 15 14 14 15 12");
  EXPECT_EQ(out.notes[5].attack, "pull");
  EXPECT_EQ(out.notes[4].attack, "pick");
  EXPECT_EQ(out.notes[3].unit, 5);
  EXPECT_EQ(out.notes[4].unit, 8);
  EXPECT_TRUE(out.notes[3].accent);
  EXPECT_EQ(out.notes[3].repeat, 2);
  EXPECT_EQ(out.units, 10);
}

TEST(Expansion, Refusals) {
  Idea idea = folds_back();
  idea.carry_strings = 0;
  EXPECT_NE(expand(idea).error, "");  // fit with 0 and 0
  idea.repeats = 4;
  EXPECT_EQ(expand(idea).error, "");
  idea.rule = "3 h1";
  EXPECT_NE(expand(idea).error, "");
  idea.rule = "4";
  idea.repeats = 1;
  EXPECT_EQ(list_notes(expand(idea).notes), "6: 17");  // past n along the scale: E F# G then A
  idea.back = Back::mirrored;
  EXPECT_NE(expand(idea).error, "");
}

// ---- Strokes and proof -----------------------------------------------------------------------------------

TEST(Strokes, GridCountsRestsAndSlurs) {
  Idea idea = folds_back();
  idea.rule = "1 h2 3 r 2 1x2 3";
  idea.repeats = 1;
  idea.picking = Picking::grid;
  EXPECT_EQ(strokes(played(idea)), "D.DDUU");
}

TEST(Strokes, EconomySweepsWithTheTravel) {
  Idea idea = folds_back();
  idea.rule = "1 2 3";
  idea.picking = Picking::economy;
  EXPECT_EQ(strokes(played(idea)), "DUDDUDDUDDUDDUDDUD");
  const auto all = changes(played(idea), Clear::none);
  for (const Change& change : all) EXPECT_TRUE(change.free && change.type == "sweep");
}

// DESIGN's parity law against the enumeration, for every way six picked notes can lie on three strings.
TEST(Proof, TheParityLawHolds) {
  for (int code = 0; code < 729; ++code) {
    std::vector<Note> notes;
    for (int rest = code, i = 0; i < 6; ++i, rest /= 3) {
      Note note;
      note.string = rest % 3 + 1;
      note.unit = i;
      notes.push_back(note);
    }
    const auto v = visits(notes);
    bool open = true;
    for (std::size_t i = 1; i + 1 < v.size(); ++i) open = open && v[i].picked % 2 == 0;
    bool looped = true;
    if (v.size() > 1) {
      std::vector<int> cycle;
      for (const Visit& visit : v) cycle.push_back(visit.picked);
      if (v.front().string == v.back().string) {
        cycle.front() += cycle.back();
        cycle.pop_back();
      }
      for (const int picks : cycle) looped = looped && picks % 2 == 0;
    }
    const Parity found = parity(notes, 6, 'D');
    EXPECT_EQ(found.open, open) << code;
    EXPECT_EQ(found.looped, looped) << code;
  }
}

TEST(Repair, FewestEarliestSlurs) {
  Idea idea = folds_back();
  idea.rule = "1 2 3";  // visits of three: every other change is blocked, whatever the first stroke
  const Repair found = repair(idea);
  EXPECT_TRUE(found.needed);
  ASSERT_TRUE(found.possible);
  EXPECT_EQ(found.rule, "1 h2 3");
  EXPECT_EQ(found.slurs, 1);
  EXPECT_EQ(found.first_stroke, 'D');
  EXPECT_EQ(found.ties, (std::vector<std::string>{"1 2 h3"}));
  EXPECT_TRUE(found.note_by_note.tried);
  EXPECT_EQ(found.note_by_note.slurs, 4);  // U first: the first string needs none of its five, and the last none
  idea.rule = "1";                         // one note a string: nothing to slur
  EXPECT_TRUE(repair(idea).needed);
  EXPECT_FALSE(repair(idea).possible);
  EXPECT_TRUE(repair(idea).note_by_note.tried);
  EXPECT_FALSE(repair(idea).note_by_note.slurs);
}

// ---- Time ------------------------------------------------------------------------------------------------

TEST(Time, TupletsOnsetsAndMeters) {
  EXPECT_EQ(tuplet(3, false), "3:2");
  EXPECT_EQ(tuplet(6, false), "6:4");
  EXPECT_EQ(tuplet(9, false), "9:8");
  EXPECT_EQ(tuplet(8, false), std::nullopt);
  EXPECT_EQ(tuplet(2, true), "2:3");
  EXPECT_EQ(tuplet(7, true), "7:6");
  EXPECT_EQ(tuplet(12, true), std::nullopt);
  EXPECT_EQ(meter("6/8")->beats, 2);
  EXPECT_EQ(meter("3/8")->beats, 3);
  EXPECT_EQ(meter("2+2+3/8")->strong, (std::vector<int>{0, 2, 4}));
  const auto at = onsets(played(folds_back()), make(-1, 2), 4);
  ASSERT_TRUE(at);
  EXPECT_EQ((std::vector<std::string>{at->begin(), at->begin() + 4}),
            (std::vector<std::string>{"-1/2", "-1/4", "0", "1/4"}));
  EXPECT_FALSE(onsets(played(folds_back()), make(-1, 2), 3));
}

TEST(Time, VampChordsStartOnTheCeiling) {
  const Vamp three = {{{0}, {1}, {2}}};  // 3 chords in 4 beats: beats 0, 2, 3
  const auto root = [&](long long num, long long den) { return chord_at(three, *meter("4/4"), make(num, den))->root; };
  EXPECT_EQ(root(1, 1), 0);
  EXPECT_EQ(root(2, 1), 1);
  EXPECT_EQ(root(3, 1), 2);
  EXPECT_EQ(root(-1, 4), 2);
  EXPECT_FALSE(chord_at({{{0}, {1}, {2}, {3}, {4}}}, *meter("4/4"), {0, 1}));
}

}  // namespace
}  // namespace oracle
