#include "base/rational.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace fretloom {
namespace {

TEST(Rational, KeepsLowestTermsAndAPositiveDenominator) {
  EXPECT_EQ(Rational(6, -4).num(), -3);
  EXPECT_EQ(Rational(6, -4).den(), 2);
  EXPECT_EQ(Rational(0, 7), Rational(0));
}

TEST(Rational, RoundsHalvesUp) {
  EXPECT_EQ(Rational(1, 2).round_half_up(), 1);
  EXPECT_EQ(Rational(-1, 2).round_half_up(), 0);
  EXPECT_EQ(Rational(-3, 2).floor(), -2);
  EXPECT_EQ(Rational(5, 4).ceil(), 2);
}

TEST(Rational, PrintsAsNotesJsonDoes) {
  EXPECT_EQ(Rational(1, 4).to_string(), "1/4");
  EXPECT_EQ(Rational(-8, 4).to_string(), "-2");
}

TEST(Rational, FindsTheNearestSmallFraction) {
  Rational out;
  EXPECT_TRUE(nearest_fraction(-0.3333333333, 12, out));
  EXPECT_EQ(out, Rational(-1, 3));
  EXPECT_FALSE(nearest_fraction(0.123, 12, out));
  EXPECT_FALSE(nearest_fraction(1.0 / 0.0, 12, out));
}

Rational small(int num, int den) { return {num % 1000, std::abs(den % 1000) + 1}; }

RC_GTEST_PROP(Rational, SumsAndProductsAreExact, (int a, int b, int c, int d)) {
  const Rational x = small(a, b);
  const Rational y = small(c, d);
  RC_ASSERT(x + y - y == x);
  RC_ASSERT((y == Rational(0) || x * y / y == x));
  RC_ASSERT((x < y) == (x.to_double() < y.to_double()));
  RC_ASSERT(Rational(x.floor()) <= x);
  RC_ASSERT(x < Rational(x.floor() + 1));
}

}  // namespace
}  // namespace fretloom
