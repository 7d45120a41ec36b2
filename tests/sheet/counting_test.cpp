#include "sheet/counting.h"

#include <gtest/gtest.h>

namespace fretloom::sheet {
namespace {

/// One bar's second beat, counted.
std::string beat(const char* meter, int notes) {
  std::string said;
  for (int i = 0; i < notes; ++i) {
    if (i > 0) said += ' ';
    said += counting_syllable(parse_meter(meter).value(), notes, Beats(Rational(1) + Rational(i, notes)));
  }
  return said;
}

// Common practice, no source; fives and sevens are ours.
TEST(Counting, SaysTheBeatAndItsParts) {
  EXPECT_EQ(beat("4/4", 1), "2");
  EXPECT_EQ(beat("4/4", 2), "2 &");
  EXPECT_EQ(beat("4/4", 3), "2 trip let");
  EXPECT_EQ(beat("4/4", 4), "2 e & a");
  EXPECT_EQ(beat("4/4", 5), "2 2 3 4 5");
  EXPECT_EQ(beat("4/4", 6), "2 trip let & trip let");
  EXPECT_EQ(beat("4/4", 8), "2 ta e ta & ta a ta");
  EXPECT_EQ(beat("6/8", 3), "2 & a");
  EXPECT_EQ(beat("6/8", 6), "2 ta & ta a ta");
}

TEST(Counting, CountsFromTheBarAndLeavesOtherPlacesOut) {
  const Meter meter = parse_meter("4/4").value();
  EXPECT_EQ(counting_syllable(meter, 4, Beats(Rational(9, 2))), "&");
  EXPECT_EQ(counting_syllable(meter, 4, Beats(Rational(-1))), "4");
  EXPECT_EQ(counting_syllable(meter, 4, Beats(Rational(1, 3))), "");
}

}  // namespace
}  // namespace fretloom::sheet
