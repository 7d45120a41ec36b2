// The one check that every output relies on.

#include "score/handout.h"

#include <gtest/gtest.h>

#include <functional>

namespace fretloom {
namespace {

/// Two notes on a six-string guitar.
IdeaSheet sound_idea() {
  IdeaSheet idea;
  idea.instrument.neck = {parse_tuning("standard").value(), 24, Millimetres(648), 2};
  idea.layout.resize(6);
  idea.vamp = parse_vamp("Em7 | A7", idea.meter).value();
  Score& score = idea.feels.emplace_back();
  for (int i = 0; i < 2; ++i) {
    ScoreNote note;
    note.onset = Beats(Rational(i, 4));
    note.duration = Beats(Rational(1, 4));
    note.pitch = parse_pitch("E4").value();
    note.fret = 12;
    score.notes.push_back(note);
  }
  score.end = Beats(Rational(1, 2));
  return idea;
}

TEST(Fault, ASoundIdeaHasNone) {
  const IdeaSheet idea = sound_idea();
  EXPECT_FALSE(fault_of(idea, idea.feels.front()));
}

TEST(Fault, EveryKindIsFound) {
  struct Case {
    const char* said;
    std::function<void(IdeaSheet&)> spoil;
  };
  const auto first = [](IdeaSheet& idea) -> ScoreNote& { return idea.feels.front().notes.front(); };
  const std::vector<Case> cases = {
      {"no strings", [](IdeaSheet& i) { i.instrument.neck.tuning.open.clear(); }},
      {"it can have 1 to 12",
       [](IdeaSheet& i) {
         i.instrument.neck.tuning.open.resize(13);
         i.layout.resize(13);
       }},
      {"one row for each string", [](IdeaSheet& i) { i.layout.pop_back(); }},
      {"one degree for each fret", [](IdeaSheet& i) { i.layout.front().frets.push_back(3); }},
      {"the meter", [](IdeaSheet& i) { i.meter.groups.clear(); }},
      {"the meter", [](IdeaSheet& i) { i.meter.denominator = 3; }},
      {"a chord of the vamp", [](IdeaSheet& i) { i.vamp.chords[0].duration = Beats(); }},
      {"the vamp has no length", [](IdeaSheet& i) { i.vamp.bars = 0; }},
      {"string 7", [&](IdeaSheet& i) { first(i).string = 7; }},
      {"string 0", [&](IdeaSheet& i) { first(i).string = 0; }},
      {"fret 23", [&](IdeaSheet& i) { first(i).fret = 23; }},  // the capo takes two of 24
      {"fret -1", [&](IdeaSheet& i) { first(i).fret = -1; }},
      {"no pitch", [&](IdeaSheet& i) { first(i).pitch.octave = 21; }},
      {"no pitch", [&](IdeaSheet& i) { first(i).pitch.pitch_class.letter = 7; }},
      {"a note has no length", [&](IdeaSheet& i) { first(i).duration = Beats(); }},
      {"at once", [&](IdeaSheet& i) { first(i).duration = Beats(Rational(1, 2)); }},
      {"at once", [](IdeaSheet& i) { std::swap(i.feels[0].notes[0], i.feels[0].notes[1]); }},
  };
  for (const auto& [said, spoil] : cases) {
    IdeaSheet idea = sound_idea();
    spoil(idea);
    const auto fault = fault_of(idea, idea.feels.front());
    ASSERT_TRUE(fault) << said;
    EXPECT_NE(fault->what.find(said), std::string::npos) << fault->what;
  }
}

TEST(WithFeel, KeepsOneFeelAndTheIdeasFacts) {
  IdeaSheet idea = sound_idea();
  idea.name = "Two";
  idea.feels.push_back(idea.feels.front());
  idea.feels.back().notes_per_beat = 6;
  const IdeaSheet one = with_feel(idea, 1);
  ASSERT_EQ(one.feels.size(), 1U);
  EXPECT_EQ(one.feels.front().notes_per_beat, 6);
  EXPECT_EQ(one.name, "Two");
}

/// The proof speaks of the whole rule; a feel that was trimmed has fewer of its changes, and its ending some of its
/// own.
TEST(Handout, ChangesOfAFeelAreThoseItPlays) {
  const auto change = [](int after_note) {
    Change made;
    made.after_note = after_note;
    return made;
  };
  IdeaSheet idea;
  idea.proof.changes = {change(2), change(4), change(6)};
  Score score;
  score.notes.resize(7);
  for (std::size_t i = 5; i < 7; ++i) score.notes[i].role = Role::fill;
  score.ending.emplace();
  score.ending->changes = {change(5)};
  EXPECT_EQ(changes_of(idea, score), (std::vector<Change>{change(2), change(4), change(5)}));
  score.ending.reset();
  EXPECT_EQ(changes_of(idea, score), (std::vector<Change>{change(2), change(4)}));
}

}  // namespace
}  // namespace fretloom
