// From rule to notes: the worked example of the design, and the laws of expansion.

#include "lick/expand.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <map>
#include <string>
#include <vector>

namespace fretloom {
namespace {

Ground ground_of(const Key& key, const Neck& neck, const LayoutRule& rule) {
  return {key, neck, *make_layout(key, neck, rule)};
}

Neck standard() { return {*parse_tuning("standard"), 24, Millimetres(648), 0}; }

/// E dorian, three a string from 12, `1 3 2 3 + 2 1` carried to the thinnest string.
struct Worked {
  Ground ground = ground_of(*parse_key("E dorian"), standard(), LayoutRule{.from = 12});
  Lick lick;
  std::vector<Remark> remarks;

  Worked() { lick.rule = *parse_rule(RuleKind::cell, "1 3 2 3 + 2 1"); }
  std::optional<Phrase> expanded() { return expand(ground, lick, remarks); }
};

constexpr const char* k_way_out =
    "6: 12 15 14 15 | 5: 14 12 12 16 14 16 | 4: 14 12 12 16 14 16 | 3: 14 12 12 16 14 16 | 2: 15 14 14 17 15 17 | "
    "1: 15 14";

TEST(WorkedExample, FitsFiveRepetitions) {
  Worked worked;
  const auto phrase = worked.expanded();
  ASSERT_TRUE(phrase.has_value());
  EXPECT_TRUE(worked.remarks.empty());
  EXPECT_EQ(phrase->notes.size(), 30U);
  EXPECT_EQ(phrase->repeats, 5);
  EXPECT_EQ(phrase->units, 30);
  EXPECT_EQ(to_text(phrase->notes), k_way_out);
  std::map<int, int> notes_on;
  for (const LickNote& note : phrase->notes) ++notes_on[note.string];
  EXPECT_EQ(notes_on, (std::map<int, int>{{6, 4}, {5, 6}, {4, 6}, {3, 6}, {2, 6}, {1, 2}}));
}

TEST(WorkedExample, RefusesASixthRepetition) {
  Worked worked;
  worked.lick.repeats = 6;
  EXPECT_FALSE(worked.expanded().has_value());
  ASSERT_EQ(worked.remarks.size(), 1U);
  const Remark& remark = worked.remarks.front();
  EXPECT_EQ(remark.level, Level::error);
  EXPECT_EQ(remark.key, "repeats");
  EXPECT_NE(remark.message.find("there is no string 0"), std::string::npos) << remark.message;
  EXPECT_NE(remark.message.find("the rule can be played 5 times"), std::string::npos) << remark.message;
  EXPECT_EQ(remark.repair, "5");
}

TEST(WorkedExample, RetrogradeIsTheSameNotesBackwards) {
  Worked worked;
  worked.lick.back = Back::retrograde;
  const auto phrase = worked.expanded();
  ASSERT_TRUE(phrase.has_value());
  ASSERT_EQ(phrase->notes.size(), 60U);
  for (std::size_t i = 0; i < 30; ++i) {
    EXPECT_EQ(phrase->notes[30 + i].string, phrase->notes[29 - i].string);
    EXPECT_EQ(phrase->notes[30 + i].fret, phrase->notes[29 - i].fret);
    EXPECT_EQ(phrase->notes[30 + i].unit, static_cast<int>(30 + i));
  }
  EXPECT_EQ(phrase->notes[30].fret, 14);  // the turning note again
}

TEST(WorkedExample, MirroredStartsOnTheThinnestString) {
  Worked worked;
  worked.lick.back = Back::mirrored;
  const auto phrase = worked.expanded();
  ASSERT_TRUE(phrase.has_value());
  ASSERT_EQ(phrase->notes.size(), 60U);
  EXPECT_EQ(to_text({phrase->notes.begin() + 30, phrase->notes.begin() + 36}), "1: 17 14 15 14 | 2: 15 17");
}

TEST(Expand, FitWithoutCarryIsAnError) {
  Worked worked;
  worked.lick.carry = {0, 0};
  EXPECT_FALSE(worked.expanded().has_value());
  ASSERT_EQ(worked.remarks.size(), 1U);
  EXPECT_EQ(worked.remarks.front().repair, "4");
}

TEST(Expand, EditsSurviveAndOrphansAreNamed) {
  Worked worked;
  worked.lick.edits = {{2, 3, 9}, {6, 1, 12}, {1, 7, 12}};
  const auto plain = Worked().expanded();
  const auto phrase = worked.expanded();
  ASSERT_TRUE(phrase.has_value() && plain.has_value());
  EXPECT_EQ(phrase->notes[8].fret, 9);              // third note of the second repetition
  EXPECT_EQ(phrase->notes[8].pitch.name(), "F#3");  // string 5, fret 9: A2 + 9 semitones
  ASSERT_EQ(worked.remarks.size(), 2U);
  EXPECT_EQ(worked.remarks[0].key, "edits[2]");
  EXPECT_EQ(worked.remarks[1].key, "edits[3]");
  for (const Remark& remark : worked.remarks) EXPECT_EQ(remark.level, Level::warning);
}

// --- Laws ----------------------------------------------------------------------------------------

/// A random cell. Slurs go the way of their ordinals; alterations may still turn one round, which
/// expansion refuses.
std::string random_cell(bool slurs) {
  std::string text;
  int before = 0;
  const int length = *rc::gen::inRange(1, 7);
  for (int i = 0; i < length; ++i) {
    if (i > 0) text += ' ';
    if (i > 0 && *rc::gen::inRange(0, 3) == 0) {
      text += *rc::gen::element<std::string>("+ ", "- ");
      before = 0;
    }
    if (i > 0 && *rc::gen::inRange(0, 8) == 0) {
      text += "r ";
      before = 0;
    }
    const int ordinal = *rc::gen::inRange(1, 5);
    if (slurs && before > 0 && ordinal != before && *rc::gen::inRange(0, 3) == 0) text += ordinal > before ? 'h' : 'p';
    text += std::to_string(ordinal);
    text += *rc::gen::weightedElement<std::string>({{8, ""}, {1, "#"}, {1, "b"}, {1, "!"}, {1, "x2"}});
    before = ordinal;
  }
  return text;
}

struct Idea {
  std::string mode;
  PitchClass tonic;
  Neck neck;
  LayoutRule layout;
  Lick lick;

  /// Nothing where a note lies off the neck or the rule is refused.
  [[nodiscard]] std::optional<Phrase> expanded() const {
    const Key key = *parse_key(tonic.name() + " " + mode);
    std::vector<Remark> remarks;
    return expand(ground_of(key, neck, layout), lick, remarks);
  }
};

Idea random_idea() {
  Idea idea;
  idea.mode = *rc::gen::element<std::string>("dorian", "ionian", "phrygian dominant", "minor pentatonic", "minor blues",
                                             "altered");
  idea.tonic = spell_sharp(*rc::gen::inRange(48, 60)).pitch_class;
  idea.neck = standard();
  idea.layout = {.notes = *rc::gen::inRange(2, 4), .from = *rc::gen::inRange(0, 13)};
  idea.lick.rule = *parse_rule(RuleKind::cell, random_cell(true));
  idea.lick.carry = {*rc::gen::element(1, 1, 1, 0, -1), *rc::gen::element(0, 0, 1, -1)};
  idea.lick.start_string = idea.lick.carry.strings < 0 ? 2 : *rc::gen::inRange(4, 7);
  idea.lick.repeats = *rc::gen::inRange(1, 4);
  idea.lick.back = *rc::gen::element(Back::none, Back::retrograde, Back::mirrored);
  return idea;
}

/// The note without the spelling of its pitch, moved.
LickNote bare(LickNote note, int frets, int semitones) {
  note.fret += frets;
  note.midi += semitones;
  note.pitch = {};
  return note;
}

void expect_moved(const Phrase& from, const Phrase& to, int frets, int semitones) {
  RC_ASSERT(from.units == to.units);
  RC_ASSERT(from.notes.size() == to.notes.size());
  for (std::size_t i = 0; i < from.notes.size(); ++i) {
    RC_ASSERT(bare(from.notes[i], frets, semitones) == bare(to.notes[i], 0, 0));
    RC_ASSERT(to.notes[i].pitch.midi() == to.notes[i].midi);
  }
}

RC_GTEST_PROP(ExpansionLaws, TransposingKeyAndStringsMovesTheSoundOnly, ()) {
  const Idea idea = random_idea();
  const int by = *rc::gen::inRange(-7, 8);
  Idea moved = idea;
  moved.tonic = spell_sharp(60 + idea.tonic.semitones() + by).pitch_class;
  for (SpelledPitch& open : moved.neck.tuning.open) open = spell_sharp(open.midi() + by);
  const auto here = idea.expanded();
  const auto there = moved.expanded();
  RC_ASSERT(here.has_value() == there.has_value());
  RC_CLASSIFY(here.has_value(), "legal");
  if (here) expect_moved(*here, *there, 0, by);
}

RC_GTEST_PROP(ExpansionLaws, TransposingKeyAndFromMovesTheHand, ()) {
  const Idea idea = random_idea();
  const int by = *rc::gen::inRange(1, 8);
  Idea moved = idea;
  moved.tonic = spell_sharp(60 + idea.tonic.semitones() + by).pitch_class;
  moved.layout.from += by;
  const auto here = idea.expanded();
  const auto there = moved.expanded();
  RC_CLASSIFY(here.has_value() && there.has_value(), "reachable");
  if (here && there) expect_moved(*here, *there, by, by);
}

RC_GTEST_PROP(ExpansionLaws, RestringingKeepsTheSound, ()) {
  const Idea idea = random_idea();
  Idea other = idea;
  // Per-string layouts go on up the scale from the thickest string, whatever the others are tuned to.
  other.neck.tuning = *parse_tuning(*rc::gen::element<std::string>("all fourths", "open E"));
  const auto here = idea.expanded();
  const auto there = other.expanded();
  RC_CLASSIFY(here.has_value() && there.has_value(), "reachable");
  if (!here || !there) return;
  RC_ASSERT(here->notes.size() == there->notes.size());
  for (std::size_t i = 0; i < here->notes.size(); ++i) {
    const int string = here->notes[i].string;
    LickNote expected = here->notes[i];
    expected.fret += idea.neck.open_midi(string) - other.neck.open_midi(string);
    RC_ASSERT(there->notes[i] == expected);
  }
}

RC_GTEST_PROP(ExpansionLaws, RetrogradeTwiceIsTheIdentity, ()) {
  Idea idea = random_idea();
  idea.lick.back = Back::retrograde;
  const auto phrase = idea.expanded();
  RC_CLASSIFY(phrase.has_value(), "legal");
  if (!phrase) return;
  const std::size_t half = phrase->notes.size() / 2;
  std::vector<LickNote> twice;
  for (std::size_t k = phrase->notes.size(); k-- > half;) {
    LickNote note = phrase->notes[k];
    note.unit = phrase->units - (note.unit + note.units);
    note.repeat = 2 * phrase->repeats + 1 - note.repeat;
    // A slur lies on its pair's later note: going the other way, on the one that was earlier.
    const Attack later = k + 1 < phrase->notes.size() ? phrase->notes[k + 1].attack : Attack::pick;
    note.attack = later == Attack::hammer ? Attack::pull : later == Attack::pull ? Attack::hammer : later;
    note.slur_token = phrase->notes[half - 1 - (k - half)].slur_token;
    twice.push_back(note);
  }
  RC_ASSERT(twice.size() == half);
  for (std::size_t i = 0; i < half; ++i) RC_ASSERT(twice[i] == phrase->notes[i]);
}

RC_GTEST_PROP(ExpansionLaws, MirroredTwiceIsTheIdentity, ()) {
  Idea idea = random_idea();
  idea.lick.back = Back::mirrored;
  const auto phrase = idea.expanded();
  RC_CLASSIFY(phrase.has_value(), "legal");
  if (!phrase) return;
  const Ground ground = ground_of(*parse_key(idea.tonic.name() + " " + idea.mode), idea.neck, idea.layout);
  const auto fret = [&](int string, int ordinal, int repetition) {
    return fret_of(ground.key, ground.neck, ground.layout, string, ordinal, repetition * idea.lick.carry.steps);
  };
  const std::size_t half = phrase->notes.size() / 2;
  const auto by_string = [](const LickNote& a, const LickNote& b) { return a.string < b.string; };
  const auto [low, high] =
      std::minmax_element(phrase->notes.begin() + static_cast<std::ptrdiff_t>(half), phrase->notes.end(), by_string);
  for (std::size_t i = 0; i < half; ++i) {
    const LickNote& out = phrase->notes[i];
    const LickNote& back = phrase->notes[half + i];
    const int repetition = back.repeat - phrase->repeats - 1;
    const int alter = back.fret - fret(back.string, back.ordinal, phrase->repeats - 1 - repetition);
    const int string = low->string + high->string - back.string;
    const int ordinal = idea.layout.notes + 1 - back.ordinal;
    RC_ASSERT(string == out.string);
    RC_ASSERT(ordinal == out.ordinal);
    RC_ASSERT(fret(string, ordinal, repetition) - alter == out.fret);
    RC_ASSERT(back.unit - phrase->units / 2 == out.unit);
    RC_ASSERT(back.units == out.units);
    RC_ASSERT(back.accent == out.accent);
    RC_ASSERT((back.attack == Attack::pick) == (out.attack == Attack::pick));
  }
}

RC_GTEST_PROP(ExpansionLaws, AnEditChangesItsNoteOnly, ()) {
  Idea idea = random_idea();
  idea.lick.rule = *parse_rule(RuleKind::cell, random_cell(false));
  const auto plain = idea.expanded();
  RC_CLASSIFY(plain.has_value(), "legal");
  if (!plain) return;
  const int group = idea.lick.rule.group();
  const int repetitions = plain->repeats * (idea.lick.back == Back::none ? 1 : 2);
  const NoteEdit edit{*rc::gen::inRange(1, repetitions + 1), *rc::gen::inRange(1, group + 1), *rc::gen::inRange(0, 25)};
  idea.lick.edits = {edit};
  const auto edited = idea.expanded();
  RC_ASSERT(edited.has_value());
  const auto target = static_cast<std::size_t>((edit.repeat - 1) * group + edit.note - 1);
  RC_ASSERT(edited->notes.size() == plain->notes.size());
  for (std::size_t i = 0; i < plain->notes.size(); ++i) {
    if (i != target) RC_ASSERT(edited->notes[i] == plain->notes[i]);
  }
  const LickNote& note = edited->notes[target];
  RC_ASSERT(note.fret == edit.fret);
  RC_ASSERT(note.string == plain->notes[target].string);
  RC_ASSERT(note.midi == idea.neck.open_midi(note.string) + edit.fret);
  RC_ASSERT(note.pitch.midi() == note.midi);
  RC_ASSERT(note.unit == plain->notes[target].unit);
  RC_ASSERT(note.repeat == edit.repeat);
}

}  // namespace
}  // namespace fretloom
