// Values, ties, tuplets and beams of a score.

#include "score/rhythm.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace fretloom {
namespace {

/// A score of lengths in units of 1/k beat; a negative length is a rest.
Score score_of(int k, const std::vector<int>& lengths, const Rational& start = Rational(0)) {
  Score score;
  score.notes_per_beat = k;
  score.start = Beats(start);
  score.end = score.start;
  for (const int length : lengths) {
    const Beats duration{Rational(std::abs(length), k)};
    if (length > 0) {
      ScoreNote note;
      note.onset = score.end;
      note.duration = duration;
      score.notes.push_back(note);
    }
    score.end += duration;
  }
  return score;
}

std::string text_of(const char* meter, const Score& score) {
  const auto rhythm = write_rhythm(parse_meter(meter).value(), score);
  return rhythm ? to_text(*rhythm) : rhythm.error().what;
}

Rational written(const RhythmEvent& event) {
  return Rational(1, std::int64_t{1} << event.log) * (event.dots > 0 ? Rational(3, 2) : Rational(1));
}

TEST(Rhythm, SixteenthsBeamByBeat) {
  EXPECT_EQ(text_of("2/4", score_of(4, {1, 1, 1, 1, 1, 1, 1, 1})),
            "bar 1\n"
            "  0 +1/4 n0 1/16 beam0\n  1/4 +1/4 n1 1/16 beam0\n  1/2 +1/4 n2 1/16 beam0\n  3/4 +1/4 n3 1/16 beam0\n"
            "  1 +1/4 n4 1/16 beam1\n  5/4 +1/4 n5 1/16 beam1\n  3/2 +1/4 n6 1/16 beam1\n  7/4 +1/4 n7 1/16 beam1\n"
            "  beam 0 =2 1 =2 2 =2 3\n  beam 4 =2 5 =2 6 =2 7\n");
}

TEST(Rhythm, HeldNotesTieOverBarsAndShowTheBeat) {
  EXPECT_EQ(text_of("2/4", score_of(2, {4, 1}, Rational(1, 2))),
            "bar 1\n  0 +1/2 rest 1/8\n  1/2 +1/2 n0 1/8 tie(\n  1 +1 n0 1/4 )tie tie(\n"
            "bar 2\n  2 +1/2 n0 1/8 )tie beam0\n  5/2 +1/2 n1 1/8 beam0\n  3 +1 rest 1/4\n  beam 0 =1 1\n");
}

// The rule behind this table: score/meter.h tuplet_ratio.
TEST(Rhythm, EveryNumberOfNotesABeatTakesItsRatio) {
  for (const char* name : {"1/4", "3/8", "6/8", "2/2"}) {
    const Meter meter = parse_meter(name).value();
    for (int k = 1; k <= 12; ++k) {
      const Score score = score_of(k, std::vector<int>(static_cast<std::size_t>(k), 1));
      const auto rhythm = write_rhythm(meter, score);
      ASSERT_TRUE(rhythm);
      const RhythmBar& bar = rhythm->bars[0];
      const auto ratio = tuplet_ratio(meter, k);
      ASSERT_EQ(bar.tuplets.empty(), !ratio) << name << " " << k;
      if (ratio) {
        EXPECT_EQ(bar.tuplets[0].ratio, *ratio);
      }
      EXPECT_EQ(written(bar.events[0]), written_value(meter, k)) << name << " " << k;
    }
  }
}

TEST(Rhythm, ABeatDividedTooFinelyIsAnError) {
  Score score = score_of(4, {1, 1});
  score.notes[1].onset = Beats(Rational(1, 997));
  score.notes[0].duration = Beats(Rational(1, 997));
  EXPECT_FALSE(write_rhythm(Meter{}, score));
}

/// Any mix of lengths on a k-grid in any meter.
RC_GTEST_PROP(Rhythm, WrittenTimeIsTheScoresTime, ()) {
  const Meter meter =
      *parse_meter(*rc::gen::element("4/4", "3/4", "6/8", "12/8", "2+2+3/8", "5/8", "2/2", "9/8", "3/8"));
  const int k = *rc::gen::inRange(1, 13);
  auto lengths = *rc::gen::resize(24, rc::gen::container<std::vector<int>>(rc::gen::inRange(-5, 14)));
  std::erase(lengths, 0);
  lengths.insert(lengths.begin(), 1);
  const Score score = score_of(k, lengths);
  const auto rhythm = write_rhythm(meter, score);
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
      Rational value = written(event);
      if (event.tuplet >= 0) {
        const TupletRatio ratio = bar.tuplets[static_cast<std::size_t>(event.tuplet)].ratio;
        value = value * Rational(ratio.normal, ratio.actual);
      }
      RC_ASSERT(value == event.duration.value * meter.beat_value());
    }
    RC_ASSERT(bar.end.value == at);
  }
  for (std::size_t i = 0; i < sounded.size(); ++i) RC_ASSERT(sounded[i] == score.notes[i].duration.value);
}

/// The score's notes as repetitions of so many notes each.
Score grouped(Score score, int group) {
  for (std::size_t i = 0; i < score.notes.size(); ++i) score.notes[i].repeat = static_cast<int>(i) / group + 1;
  return score;
}

std::string beams_of(const char* meter, const Score& score) {
  const std::string text = text_of(meter, score);
  std::string beams;
  for (std::size_t at = text.find("  beam "); at != std::string::npos; at = text.find("  beam ", at + 1))
    beams += text.substr(at + 7, text.find('\n', at) - at - 7) + "; ";
  return beams;
}

// Gould, "Behind Bars", "beaming", from memory: quavers of 4/4 by half bars.
TEST(Rhythm, EighthsBeamByHalfBarsWhereTheGroupsAllow) {
  const Score score = score_of(2, {1, 1, 1, 1, 1, 1, 1, 1});
  EXPECT_EQ(beams_of("4/4", grouped(score, 8)), "0 =1 1 =1 2 =1 3; 4 =1 5 =1 6 =1 7; ");
  EXPECT_EQ(beams_of("4/4", grouped(score, 4)), "0 =1 1 =1 2 =1 3; 4 =1 5 =1 6 =1 7; ");
  EXPECT_EQ(beams_of("4/4", grouped(score, 6)), "0 =1 1 =1 2 =1 3; 4 =1 5; 6 =1 7; ");
  EXPECT_EQ(beams_of("4/4", grouped(score, 3)), "0 =1 1; 2 =1 3; 4 =1 5; 6 =1 7; ");
  EXPECT_EQ(beams_of("3/4", grouped(score, 6)), "0 =1 1; 2 =1 3; 4 =1 5; 0 =1 1; ");
  EXPECT_EQ(beams_of("4/4", grouped(score_of(2, {1, 1, 2, 1, 1, -1, 1}), 8)), "0 =1 1; 3 =1 4; ");
}

/// Sixes at four a beat: the second begins in the middle of the second beat, the third with the fourth.
TEST(Rhythm, SecondaryBeamsBreakWhereTheRuleBeginsAgain) {
  const Score score = score_of(4, {1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1});
  EXPECT_EQ(beams_of("3/4", grouped(score, 6)), "0 =2 1 =2 2 =2 3; 4 =2 5 =1 6 =2 7; 8 =2 9 =2 10 =2 11; ");
  EXPECT_EQ(beams_of("3/4", grouped(score, 3)), "0 =2 1 =2 2 =1 3; 4 =2 5 =1 6 =2 7; 8 =1 9 =2 10 =2 11; ");
  EXPECT_EQ(beams_of("3/4", grouped(score, 1)), "0 =2 1 =2 2 =2 3; 4 =2 5 =2 6 =2 7; 8 =2 9 =2 10 =2 11; ");
  // Thirty-seconds show the groups instead of the eighths.
  EXPECT_EQ(beams_of("1/4", grouped(score_of(8, {1, 1, 1, 1, 1, 1, 1, 1}), 6)),
            "0 =3 1 =3 2 =3 3 =3 4 =3 5 =1 6 =3 7; ");
  EXPECT_EQ(beams_of("1/4", grouped(score_of(8, {1, 1, 1, 1, 1, 1, 1, 1}), 8)),
            "0 =3 1 =3 2 =3 3 =1 4 =3 5 =3 6 =3 7; ");
}

/// Two and three, in rests as in notes.
TEST(Rhythm, UnevenBarsAreCountedInTwosWithAClosingThree) {
  EXPECT_EQ(counted_groups(parse_meter("5/4").value()), (std::vector<int>{0, 2}));
  EXPECT_EQ(counted_groups(parse_meter("7/8").value()), (std::vector<int>{0, 2, 4}));
  EXPECT_EQ(text_of("5/4", score_of(1, {1, -4})),
            "bar 1\n  0 +1 n0 1/4\n  1 +1 rest 1/4\n  2 +2 rest 1/2\n  4 +1 rest 1/4\n");
  EXPECT_EQ(text_of("5/4", score_of(1, {-4, 1})), "bar 1\n  0 +2 rest 1/2\n  2 +2 rest 1/2\n  4 +1 n0 1/4\n");
  EXPECT_EQ(text_of("5/4", score_of(1, {5, 1, 4})),
            "bar 1\n  0 +3 n0 1/2. tie(\n  3 +2 n0 1/2 )tie\n"
            "bar 2\n  5 +1 n1 1/4\n  6 +1 n2 1/4 tie(\n  7 +3 n2 1/2. )tie\n");
  EXPECT_EQ(text_of("7/8", score_of(1, {1, -6})),
            "bar 1\n  0 +1 n0 1/8\n  1 +1 rest 1/8\n  2 +2 rest 1/4\n  4 +2 rest 1/4\n  6 +1 rest 1/8\n");
}

}  // namespace
}  // namespace fretloom
