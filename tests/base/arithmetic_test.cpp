#include "base/arithmetic.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <limits>

namespace fretloom {
namespace {

/// How far a value lies from the true one, in units in the last place of a double there. The true one comes from the C
/// library's long double, which has eleven bits more on x86.
double units_off(double value, long double truth) {
  const auto nearest = static_cast<double>(truth);
  const double unit = std::nextafter(std::abs(nearest), std::numeric_limits<double>::infinity()) - std::abs(nearest);
  return static_cast<double>(std::abs(static_cast<long double>(value) - truth) / static_cast<long double>(unit));
}

/// A fraction of the range, from a whole number that the test library can shrink.
double between(double low, double high, std::uint32_t part) {
  return low + (high - low) * (static_cast<double>(part) / std::numeric_limits<std::uint32_t>::max());
}

TEST(Arithmetic, RaisesTwoToTheTwelfthsThatFretsNeed) {
  for (int n = -1200; n <= 1200; ++n) {
    const double x = n / 12.0;
    EXPECT_LE(units_off(exp2_of(x), std::exp2(static_cast<long double>(x))), 0.51) << n;
  }
  EXPECT_EQ(exp2_of(0), 1.0);
  EXPECT_EQ(exp2_of(-1), 0.5);
  EXPECT_EQ(exp2_of(10), 1024.0);
}

TEST(Arithmetic, FindsWholeLogarithms) {
  for (int n = -1022; n <= 1023; ++n) EXPECT_EQ(log2_of(std::ldexp(1.0, n)), n);
  EXPECT_EQ(log2_of(1.0), 0.0);
}

TEST(Arithmetic, KnowsThreeFourFive) {
  EXPECT_EQ(hypotenuse(3, 4), 5.0);
  EXPECT_EQ(hypotenuse(-5, 12), 13.0);
  EXPECT_EQ(hypotenuse(0, 0), 0.0);
}

RC_GTEST_PROP(Arithmetic, RaisesTwoAsTheLibraryDoes, (std::uint32_t part)) {
  for (const double reach : {1.0, 30.0, 900.0}) {
    const double x = between(-reach, reach, part);
    RC_ASSERT(units_off(exp2_of(x), std::exp2(static_cast<long double>(x))) <= 0.51);
  }
}

RC_GTEST_PROP(Arithmetic, FindsLogarithmsAsTheLibraryDoes, (std::uint32_t part)) {
  for (const double x : {between(0.999, 1.001, part), between(0.5, 2.0, part), between(1e-6, 1e6, part)})
    RC_ASSERT(units_off(log2_of(x), std::log2(static_cast<long double>(x))) <= 0.51);
}

RC_GTEST_PROP(Arithmetic, MeasuresHypotenusesAsTheLibraryDoes, (std::uint32_t a, std::uint32_t b)) {
  const double x = between(-1000, 1000, a);
  const double y = between(-1000, 1000, b);
  RC_ASSERT(units_off(hypotenuse(x, y), std::hypot(static_cast<long double>(x), static_cast<long double>(y))) <= 1.0);
}

}  // namespace
}  // namespace fretloom
