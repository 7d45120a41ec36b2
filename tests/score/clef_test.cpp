#include "score/clef.h"

#include <gtest/gtest.h>

namespace fretloom {
namespace {

/// An idea of these pitches on a guitar whose thickest open string is the first of them.
IdeaSheet idea_of(const std::vector<std::string>& pitches, const std::vector<std::string>& tuning) {
  IdeaSheet idea;
  idea.instrument.neck.tuning = parse_tuning(tuning).value();
  Score score;
  for (const std::string& name : pitches) {
    ScoreNote note;
    note.pitch = parse_pitch(name).value();
    note.duration = Beats(Rational(1));
    note.onset = Beats(Rational(static_cast<std::int64_t>(score.notes.size())));
    score.notes.push_back(note);
  }
  idea.feels = {score};
  return idea;
}

const std::vector<std::string> k_eight = {"F#1", "B1", "E2", "A2", "D3", "G3", "B3", "E4"};

// Places of well-known notes: common practice, no source.
TEST(Clef, NotesStandOnTheirLines) {
  EXPECT_EQ(staff_position(Clef::treble_8vb, parse_pitch("E4").value()), 3);    // the open first string: fourth space
  EXPECT_EQ(staff_position(Clef::treble_8vb, parse_pitch("E2").value()), -11);  // the open sixth, under three lines
  EXPECT_EQ(ledger_lines(-11), 3);
  EXPECT_EQ(staff_position(Clef::bass, parse_pitch("E1").value()), -6);  // on the first ledger line below
  EXPECT_EQ(ledger_lines(-6), 1);
  EXPECT_EQ(ledger_lines(5), 0);
}

TEST(Clef, AnOttavaTakesWhatLiesBeyondTheFourthLedgerLine) {
  EXPECT_EQ(ottava_of(12), 0);
  EXPECT_EQ(ottava_of(13), 1);
  EXPECT_EQ(ottava_of(21), 1);
  EXPECT_EQ(ottava_of(22), 2);
  EXPECT_EQ(ottava_of(60), 2);
  EXPECT_EQ(ottava_of(-12), 0);
  EXPECT_EQ(ottava_of(-13), -1);
  EXPECT_EQ(ottava_of(-21), -1);
  EXPECT_EQ(ottava_of(-22), -2);
}

TEST(Clef, BassesReadTheirOwnAndGuitarsTreble) {
  EXPECT_EQ(clef_of(idea_of({"E1", "G2"}, {"E1", "A1", "D2", "G2"})), Clef::bass);
  EXPECT_EQ(clef_of(idea_of({"E2", "G2", "E2"}, {"E2", "A2", "D3", "G3", "B3", "E4"})), Clef::treble_8vb);
  EXPECT_EQ(clef_of(idea_of({"D2", "D2", "D2"}, {"D2", "A2", "D3", "G3", "B3", "E4"})), Clef::treble_8vb);
}

/// Counted by hand: F#1 costs three ledger lines and one octave in treble, none and three more in the bass clef; E4
/// none in treble 8 below, and in the bass clef ledger lines under an ottava.
TEST(Clef, LowGuitarsTakeTheClefWithFewerLedgerLines) {
  EXPECT_EQ(clef_of(idea_of({"F#1", "G1", "F#1", "A1"}, k_eight)), Clef::bass);
  EXPECT_EQ(clef_of(idea_of({"F#1", "E2", "D3", "G3", "B3", "E4"}, k_eight)), Clef::treble_8vb);
  EXPECT_EQ(clef_of(idea_of({"B1", "C2", "B1", "D2"}, {"B1", "E2", "A2", "D3", "G3", "B3", "E4"})), Clef::treble_8vb);
}

}  // namespace
}  // namespace fretloom
