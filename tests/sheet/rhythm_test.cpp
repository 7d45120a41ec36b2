#include "sheet/rhythm.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "sheet/build.h"
#include "sheet/staff.h"

namespace fretloom::sheet {
namespace {

std::string rhythm_of(const std::string& text) {
  const auto rhythm = write_rhythm(test::score_of(text));
  return rhythm ? to_text(rhythm.value()) : rhythm.error().what;
}

TEST(Rhythm, SixteenthsBeamByBeat) {
  EXPECT_EQ(rhythm_of("meter 2/4\nfeel 4\nnotes 6:1 6:2 6:3 6:4 6:1 6:2 6:3 6:4"),
            "bar 1\n"
            "  0 +1/4 n0 1/16 beam0\n  1/4 +1/4 n1 1/16 beam0\n  1/2 +1/4 n2 1/16 beam0\n  3/4 +1/4 n3 1/16 beam0\n"
            "  1 +1/4 n4 1/16 beam1\n  5/4 +1/4 n5 1/16 beam1\n  3/2 +1/4 n6 1/16 beam1\n  7/4 +1/4 n7 1/16 beam1\n"
            "  beam 0 =2 1 =2 2 =2 3\n  beam 4 =2 5 =2 6 =2 7\n");
}

TEST(Rhythm, HeldNotesTieOverBarsAndShowTheBeat) {
  EXPECT_EQ(rhythm_of("meter 2/4\nfeel 2\nstart 1/2\nnotes 6:1x4 6:2"),
            "bar 1\n  0 +1/2 rest 1/8\n  1/2 +1/2 n0 1/8 tie(\n  1 +1 n0 1/4 )tie tie(\n"
            "bar 2\n  2 +1/2 n0 1/8 )tie beam0\n  5/2 +1/2 n1 1/8 beam0\n  3 +1 rest 1/4\n  beam 0 =1 1\n");
}

// The rule behind this table: score/meter.h tuplet_ratio (DESIGN section 4, Beat).
TEST(Rhythm, EveryNumberOfNotesABeatTakesItsRatio) {
  for (const char* meter : {"1/4", "3/8", "6/8", "2/2"}) {
    for (int k = 1; k <= 12; ++k) {
      std::string notes;
      for (int i = 0; i < k; ++i) notes += " 6:1";
      const Score score =
          test::score_of("meter " + std::string(meter) + "\nfeel " + std::to_string(k) + "\nnotes" + notes);
      const auto rhythm = write_rhythm(score);
      ASSERT_TRUE(rhythm);
      const RhythmBar& bar = rhythm->bars[0];
      const auto ratio = tuplet_ratio(score.meter, k);
      ASSERT_EQ(bar.tuplets.empty(), !ratio) << meter << " " << k;
      if (ratio) {
        EXPECT_EQ(bar.tuplets[0].ratio, *ratio);
      }
      const Rational written = written_value(score.meter, k);
      const RhythmEvent& first = bar.events[0];
      const Rational value =
          Rational(1, std::int64_t{1} << first.log) * (first.dots > 0 ? Rational(3, 2) : Rational(1));
      EXPECT_EQ(value, written) << meter << " " << k;
    }
  }
}

TEST(Rhythm, BadTimeIsAnError) {
  Score score = test::score_of("feel 4\nnotes 6:1 6:2");
  score.notes[1].onset = Beats(Rational(1, 8));
  EXPECT_FALSE(write_rhythm(score));
  score.notes[1].onset = Beats(Rational(1, 997));
  score.notes[0].duration = Beats(Rational(1, 997));
  EXPECT_FALSE(write_rhythm(score));
  score.notes[0].duration = Beats(Rational(0));
  EXPECT_FALSE(write_rhythm(score));
}

/// Any mix of lengths on a k-grid in any meter.
Score random_score(const char* meter, int k) {
  std::string notes;
  const auto lengths = *rc::gen::resize(24, rc::gen::container<std::vector<int>>(rc::gen::inRange(-5, 14)));
  for (const int length : lengths)
    notes += length <= 0 ? " rx" + std::to_string(1 - length) : " 6:3x" + std::to_string(length);
  return test::score_of("meter " + std::string(meter) + "\nfeel " + std::to_string(k) + "\nnotes 6:1" + notes);
}

RC_GTEST_PROP(Rhythm, WrittenTimeIsTheScoresTime, ()) {
  const char* meter = *rc::gen::element("4/4", "3/4", "6/8", "12/8", "2+2+3/8", "5/8", "2/2", "9/8", "3/8");
  const Score score = random_score(meter, *rc::gen::inRange(1, 13));
  const auto rhythm = write_rhythm(score);
  RC_ASSERT(rhythm.ok());
  Rational at = rhythm->bars.front().start.value;
  std::vector<Rational> sounded(score.notes.size(), Rational(0));
  for (const RhythmBar& bar : rhythm->bars) {
    RC_ASSERT(bar.start.value == at);
    for (const RhythmEvent& event : bar.events) {
      RC_ASSERT(event.onset.value == at);
      at += event.duration.value;
      if (!event.is_rest()) sounded[static_cast<std::size_t>(event.note)] += event.duration.value;
      if (event.full_bar) continue;
      Rational written = Rational(1, std::int64_t{1} << event.log) * (event.dots > 0 ? Rational(3, 2) : Rational(1));
      if (event.tuplet >= 0) {
        const TupletRatio ratio = bar.tuplets[static_cast<std::size_t>(event.tuplet)].ratio;
        written = written * Rational(ratio.normal, ratio.actual);
      }
      RC_ASSERT(written == event.duration.value * score.meter.beat_value());
    }
    RC_ASSERT(bar.end.value == at);
  }
  for (std::size_t i = 0; i < sounded.size(); ++i) RC_ASSERT(sounded[i] == score.notes[i].duration.value);
}

TEST(Staff, GuitarIsWrittenAnOctaveUp) {
  // E4, the open first string, stands on the fourth space in 8vb treble (common practice, no source).
  EXPECT_EQ(staff_position(Clef::treble_8vb, {{2, 0}, 4}), 3);
  EXPECT_EQ(staff_position(Clef::bass, {{2, 0}, 1}), -6);  // E1, the open fourth string: first ledger line below
}

// Order of sharps F C G D A E B, of flats the reverse (common practice, no source).
TEST(Staff, SignaturesStandOnTheirLetters) {
  const std::string sharps = "FCGDAEB";
  const std::string flats = "BEADGCF";
  const std::string letters = "CDEFGAB";
  for (const Clef clef : {Clef::treble_8vb, Clef::bass}) {
    for (int fifths = -7; fifths <= 7; ++fifths) {
      const auto positions = signature_positions(clef, fifths);
      ASSERT_EQ(positions.size(), static_cast<std::size_t>(std::abs(fifths)));
      for (std::size_t i = 0; i < positions.size(); ++i) {
        const int middle = clef == Clef::bass ? 1 : 6;  // D or B
        const char letter = letters[static_cast<std::size_t>((middle + positions[i] + 14) % 7)];
        EXPECT_EQ(letter, (fifths > 0 ? sharps : flats)[i]);
        EXPECT_LE(std::abs(positions[i]), 5);
      }
    }
  }
}

TEST(Staff, BassTuningsTakeTheBassClef) {
  const auto clef = [](const std::string& tuning) {
    return clef_for(test::score_of("tuning " + tuning + "\nnotes 1:0").strings);
  };
  EXPECT_EQ(clef("E1 A1 D2 G2"), Clef::bass);
  EXPECT_EQ(clef("B0 E1 A1 D2 G2 C3"), Clef::bass);
  EXPECT_EQ(clef("E2 A2 D3 G3 B3 E4"), Clef::treble_8vb);
  EXPECT_EQ(clef("B1 E2 A2 D3 G3 B3 E4"), Clef::treble_8vb);
  EXPECT_EQ(clef("C2 F2 Bb2 Eb3 G3 C4"), Clef::treble_8vb);
}

std::string staff_of(const std::string& text) {
  const Score score = test::score_of(text);
  const auto rhythm = write_rhythm(score);
  return to_text(place_on_staff(score, rhythm.value(), clef_for(score.strings)), rhythm.value());
}

TEST(Staff, AccidentalsHoldToTheBarsEndAndAreRecalledInTheNext) {
  // C ionian: C C# C# C | C (courtesy: the bar before ended natural, but had a sharp)
  EXPECT_EQ(staff_of("key C ionian\nmeter 4/4\nfeel 1\nnotes 5:3 5:4 5:4 5:3 5:3"),
            "bar 1\n  n0 at -6\n"
            "  n1 at -6 sign #\n  n2 at -6\n  n3 at -6 sign natural\n"
            "bar 2\n  n4 at -6\n");
  EXPECT_EQ(staff_of("key C ionian\nmeter 2/4\nfeel 1\nnotes 5:4 5:4 5:3 5:3"),
            "bar 1\n  n0 at -6 sign #\n  n1 at -6\nbar 2\n  n2 at -6 courtesy natural\n  n3 at -6\n");
}

TEST(Staff, HighPassagesGoUnderAnOttava) {
  EXPECT_EQ(staff_of("key E aeolian\nmeter 2/4\nfeel 2\nnotes 1:12 1:17 1:19 1:24"),
            "bar 1\n  n0 at 3 8va\n  n1 at 6 8va\n  n2 at 7 8va\n  n3 at 10 8va\n");
  EXPECT_EQ(staff_of("key E aeolian\nmeter 2/4\nfeel 2\nnotes 1:0 1:3 1:5 1:12"),
            "bar 1\n  n0 at 3\n  n1 at 5\n  n2 at 6\n  n3 at 10\n");
}

TEST(Staff, NotesTooHighForOneOctaveGoUnderTwo) {
  EXPECT_EQ(staff_of("tuning A4 A5\nkey A ionian\nmeter 2/4\nfeel 1\nnotes 2:0 1:0 1:12 1:19"),
            "bar 1\n  n0 at 6\n  n1 at 6 8va\nbar 2\n  n2 at 6 15ma\n  n3 at 10 15ma\n");
}

}  // namespace
}  // namespace fretloom::sheet
