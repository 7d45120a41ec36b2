#include "score/meter.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <array>
#include <string>
#include <vector>

#include "score/score.h"

namespace fretloom {
namespace {

Meter meter_of(const std::string& text) {
  const auto meter = parse_meter(text);
  EXPECT_TRUE(meter.ok()) << text;
  return meter.ok() ? meter.value() : Meter{};
}

std::string ratio(const std::string& meter, int notes_per_beat) {
  const auto found = tuplet_ratio(meter_of(meter), notes_per_beat);
  return found ? found->name() : "plain";
}

TEST(Meter, ReadsSimpleCompoundAndAdditive) {
  const Meter common = meter_of("4/4");
  EXPECT_FALSE(common.is_compound());
  EXPECT_EQ(common.beats_per_bar(), 4);
  EXPECT_EQ(common.beat_value(), Rational(1, 4));

  const Meter compound = meter_of(" 6/8 ");
  EXPECT_TRUE(compound.is_compound());
  EXPECT_EQ(compound.beats_per_bar(), 2);
  EXPECT_EQ(compound.beat_value(), Rational(3, 8));
  EXPECT_EQ(meter_of("12/16").beat_value(), Rational(3, 16));
  EXPECT_EQ(meter_of("9/8").beats_per_bar(), 3);

  // Only 6, 9 and 12 over 8 or 16 are compound.
  for (const char* text : {"3/8", "6/4", "5/8", "12/4", "15/8", "7/16"})
    EXPECT_FALSE(meter_of(text).is_compound()) << text;

  const Meter additive = meter_of("2 + 2+3/8");
  EXPECT_EQ(additive.groups, (std::vector<int>{2, 2, 3}));
  EXPECT_TRUE(additive.is_additive());
  EXPECT_EQ(additive.beats_per_bar(), 7);
  EXPECT_EQ(additive.beat_value(), Rational(1, 8));
  EXPECT_EQ(additive.name(), "2+2+3/8");
  EXPECT_FALSE(meter_of("3+3/8").is_compound());
}

TEST(Meter, RefusesWhatIsNoMeter) {
  for (const char* text : {"", "4", "4/", "/4", "4/4/4", "0/4", "-4/4", "33/4", "16+17/8", "4/3", "4/32", "4/1",
                           "2++3/8", "+3/8", "3+/8", "x/4", "4/x", "1.5/4", "99999999999/4"}) {
    const auto meter = parse_meter(text);
    ASSERT_FALSE(meter.ok()) << text;
    EXPECT_TRUE(parse_meter(meter.error().repair).ok()) << text;
  }
  EXPECT_EQ(parse_meter("6/7").error().repair, "6/8");
  EXPECT_EQ(parse_meter("5/3").error().repair, "5/4");
  EXPECT_EQ(parse_meter("2+2+3/12").error().repair, "2+2+3/16");
  EXPECT_TRUE(parse_meter("32/4").ok());
}

TEST(Meter, KnowsItsStrongBeats) {
  // Common practice: 1 and 3 in 4/4, group starts in additive meters, else 1.
  EXPECT_EQ(meter_of("4/4").strong_beats(), (std::vector<int>{0, 2}));
  EXPECT_EQ(meter_of("3/4").strong_beats(), (std::vector<int>{0}));
  EXPECT_EQ(meter_of("6/8").strong_beats(), (std::vector<int>{0}));
  EXPECT_EQ(meter_of("4/8").strong_beats(), (std::vector<int>{0}));
  EXPECT_EQ(meter_of("2+2+3/8").strong_beats(), (std::vector<int>{0, 2, 4}));
  EXPECT_EQ(meter_of("3+2/4").strong_beats(), (std::vector<int>{0, 3}));
}

TEST(Tuplet, DividesASimpleBeat) {
  // k over the largest power of two not above it; 3:2, 5:4, 6:4, 7:4, 9:8 are common practice.
  constexpr std::array k_ratios = {"plain", "plain", "3:2", "plain", "5:4",  "6:4",
                                   "7:4",   "plain", "9:8", "10:8",  "11:8", "12:8"};
  for (const char* meter : {"4/4", "3/2", "7/8", "2+2+3/8", "3/8"}) {
    for (int k = 1; k <= 12; ++k) EXPECT_EQ(ratio(meter, k), k_ratios[static_cast<std::size_t>(k - 1)]) << meter << k;
  }
}

TEST(Tuplet, DividesACompoundBeat) {
  constexpr std::array k_ratios = {"plain", "2:3", "plain", "4:3",  "5:3",  "plain",
                                   "7:6",   "8:6", "9:6",   "10:6", "11:6", "plain"};
  for (const char* meter : {"6/8", "9/8", "12/8", "6/16"}) {
    for (int k = 1; k <= 12; ++k) EXPECT_EQ(ratio(meter, k), k_ratios[static_cast<std::size_t>(k - 1)]) << meter << k;
  }
}

TEST(Tuplet, WritesUndottedValuesThatFillTheBeat) {
  EXPECT_EQ(written_value(meter_of("4/4"), 4), Rational(1, 16));
  EXPECT_EQ(written_value(meter_of("4/4"), 6), Rational(1, 16));
  EXPECT_EQ(written_value(meter_of("4/4"), 3), Rational(1, 8));
  EXPECT_EQ(written_value(meter_of("6/8"), 3), Rational(1, 8));
  EXPECT_EQ(written_value(meter_of("6/8"), 2), Rational(1, 8));
  EXPECT_EQ(written_value(meter_of("6/8"), 7), Rational(1, 16));
  EXPECT_EQ(written_value(meter_of("6/8"), 1), Rational(3, 8));
  for (const char* text : {"4/4", "3/2", "6/8", "12/16", "2+2+3/8"}) {
    const Meter meter = meter_of(text);
    for (int k = 1; k <= 12; ++k) {
      const auto found = tuplet_ratio(meter, k);
      const Rational squeeze = found ? Rational(found->normal, found->actual) : Rational(1);
      EXPECT_EQ(written_value(meter, k) * Rational(k) * squeeze, meter.beat_value()) << text << " " << k;
      const std::int64_t den = written_value(meter, k).den();
      EXPECT_EQ(den & (den - 1), 0) << text << " " << k;
      // One note a compound beat is a dotted note, all others are plain.
      EXPECT_EQ(written_value(meter, k).num(), meter.is_compound() && k == 1 ? 3 : 1) << text << " " << k;
    }
  }
}

TEST(Bars, CountFromOneAndBackIntoThePickUp) {
  const Meter common = meter_of("4/4");
  EXPECT_EQ(bar_of(common, Beats(Rational(0))), 1);
  EXPECT_EQ(bar_of(common, Beats(Rational(15, 4))), 1);
  EXPECT_EQ(bar_of(common, Beats(Rational(4))), 2);
  EXPECT_EQ(bar_of(common, Beats(Rational(-1, 4))), 0);
  EXPECT_EQ(bar_of(common, Beats(Rational(-4))), 0);
  EXPECT_EQ(bar_of(common, Beats(Rational(-17, 4))), -1);
  EXPECT_EQ(beat_in_bar(common, Beats(Rational(-1, 4))), Beats(Rational(15, 4)));
  EXPECT_EQ(beat_in_bar(common, Beats(Rational(-4))), Beats(Rational(0)));
  EXPECT_EQ(beat_in_bar(common, Beats(Rational(9, 2))), Beats(Rational(1, 2)));
  EXPECT_EQ(bar_of(meter_of("6/8"), Beats(Rational(2))), 2);
}

RC_GTEST_PROP(Bars, SplitABeatIntoBarAndPlace, ()) {
  const std::string text = *rc::gen::element<std::string>("4/4", "3/4", "6/8", "2+2+3/8", "1/4", "12/16");
  const Meter meter = parse_meter(text).value();
  const Beats beat(Rational(*rc::gen::inRange(-500, 500), *rc::gen::inRange(1, 13)));
  const Beats place = beat_in_bar(meter, beat);
  RC_ASSERT(place >= Beats(Rational(0)));
  RC_ASSERT(place < Beats(Rational(meter.beats_per_bar())));
  RC_ASSERT(Beats(Rational((bar_of(meter, beat) - 1) * meter.beats_per_bar())) + place == beat);
}

RC_GTEST_PROP(Meter, NeverCrashesAndReadsItsOwnName, (const std::string& text)) {
  const auto meter = parse_meter(text);
  RC_ASSERT((!meter.ok() || parse_meter(meter->name()).value() == meter.value()));
}

}  // namespace
}  // namespace fretloom
