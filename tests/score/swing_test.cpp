#include "score/swing.h"

#include <gtest/gtest.h>

namespace fretloom {
namespace {

TEST(Swing, MovesTheSecondOfEachPair) {
  const auto at = [](Rational beat, const Meter& meter = {}) { return swung(meter, Rational(2), Beats(beat)).value; };
  EXPECT_EQ(at(Rational(1, 2)), Rational(2, 3));
  EXPECT_EQ(at(Rational(7)), Rational(7));
  EXPECT_EQ(at(Rational(-1, 2)), Rational(-1, 3));
  EXPECT_EQ(at(Rational(1, 4)), Rational(1, 3));
  EXPECT_EQ(at(Rational(3, 4)), Rational(5, 6));
  EXPECT_EQ(at(Rational(1, 2), Meter{{6}, 8}), Rational(1, 2));
}

TEST(Swing, KeepsTheOrderOfAScoreAndItsLength) {
  for (const int notes : {1, 2, 3, 4, 5, 6, 8}) {
    Score score;
    score.notes_per_beat = notes;
    for (int i = -1; i < 4 * notes; ++i) {
      ScoreNote note;
      note.onset = Beats(Rational(i, notes));
      note.duration = Beats(Rational(1, notes));
      score.notes.push_back(note);
    }
    score.start = score.notes.front().onset;
    score.end = Beats(Rational(4));
    const Score played = swung({}, Rational(2), score);
    EXPECT_EQ(played.end.value, Rational(4));
    for (std::size_t i = 1; i < played.notes.size(); ++i)
      EXPECT_EQ((played.notes[i - 1].onset + played.notes[i - 1].duration).value, played.notes[i].onset.value);
    EXPECT_EQ(played.notes != score.notes, notes == 2 || notes == 4 || notes == 8) << notes;
    EXPECT_TRUE(swung({}, Rational(1), score).notes == score.notes);
    // What is written over the notes is what is played.
    Vamp vamp;
    EXPECT_FALSE(swings(vamp, {}, notes));
    vamp.swing = Rational(2);
    EXPECT_EQ(swings(vamp, {}, notes), notes == 1 || played.notes != score.notes) << notes;
  }
}

}  // namespace
}  // namespace fretloom
