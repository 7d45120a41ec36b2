// Where a rule meets its beat and bar again, and onsets that never drift.

#include "lick/feel.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <array>

namespace fretloom {
namespace {

struct Row {
  std::int64_t group, per_beat, beats;  // G, S, B
  std::array<std::int64_t, 3> beat;     // notes, groups, beats
  std::array<std::int64_t, 3> bar;      // notes, groups, bars
};

TEST(Realign, MeetsBeatAndBar) {
  // Least common multiples, worked out outside the program: lcm(G, S) and lcm(G, S B).
  constexpr std::array k_rows = {
      Row{5, 4, 4, {20, 4, 5}, {80, 16, 5}},  Row{7, 4, 4, {28, 4, 7}, {112, 16, 7}},
      Row{6, 4, 4, {12, 2, 3}, {48, 8, 3}},   Row{10, 6, 4, {30, 3, 5}, {120, 12, 5}},
      Row{8, 3, 4, {24, 3, 8}, {24, 3, 2}},   Row{9, 5, 4, {45, 5, 9}, {180, 20, 9}},
      Row{7, 6, 3, {42, 6, 7}, {126, 18, 7}},
  };
  const auto expect = [](const Realignment& found, const std::array<std::int64_t, 3>& wanted) {
    EXPECT_EQ(found.notes, wanted[0]);
    EXPECT_EQ(found.groups, wanted[1]);
    EXPECT_EQ(found.spans, wanted[2]);
  };
  for (const Row& row : k_rows) {
    expect(realign(row.group, row.per_beat), row.beat);
    expect(realign(row.group, row.per_beat * row.beats), row.bar);
  }
}

RC_GTEST_PROP(Realign, EqualsCounting, ()) {
  const int group = *rc::gen::inRange(1, 60);
  const int span = *rc::gen::inRange(1, 60);
  int units = 1;
  while (units % group != 0 || units % span != 0) ++units;
  const Realignment found = realign(group, span);
  RC_ASSERT(found.notes == units);
  RC_ASSERT(found.groups * group == units);
  RC_ASSERT(found.spans * span == units);
}

TEST(UnitOnset, NeverDrifts) {
  Rational sum;
  for (int unit = 0; unit < 10000; ++unit) {
    const Rational onset = unit_onset(Beats(Rational(-1)), unit, 7).value;
    ASSERT_EQ(onset, sum - Rational(1));
    ASSERT_EQ((onset + Rational(1)) * Rational(7), Rational(unit));
    sum += Rational(1, 7);
  }
}

TEST(UnitOnset, GivesTheSampleClock) {
  // 132 bpm, five notes a beat, 48 kHz, exact fractions rounded half up: computed outside the program.
  // Adding up rounded steps would put note 200 at 872800.
  const Rational samples_per_beat(60 * 48000, 132);
  const auto sample = [&](int note) {
    return (unit_onset(Beats(Rational(0)), note, 5).value * samples_per_beat).round_half_up();
  };
  constexpr std::array<std::int64_t, 7> k_first = {0, 4364, 8727, 13091, 17455, 21818, 26182};
  for (std::size_t i = 0; i < k_first.size(); ++i) EXPECT_EQ(sample(static_cast<int>(i)), k_first[i]);
  EXPECT_EQ(sample(200), 872727);
}

TEST(NotesPerSecond, FollowsTempo) {
  // bpm x notes per beat / 60: sixteenths at 120 are 8 a second.
  EXPECT_EQ(notes_per_second(Rational(120), 4), Rational(8));
  EXPECT_EQ(notes_per_second(Rational(100), 7), Rational(35, 3));
}

}  // namespace
}  // namespace fretloom
