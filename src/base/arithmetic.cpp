#include "base/arithmetic.h"

#include <bit>
#include <cmath>
#include <cstdint>

namespace fretloom {

namespace {

/// A number as the sum of two doubles, the second below half a unit in the last place of the first.
struct Pair {
  double high = 0;
  double low = 0;
};

/// a + b without a rounding error (Dekker 1971). Precondition: |a| >= |b|, or a is 0.
Pair quick_sum(double a, double b) {
  const double sum = a + b;
  return {sum, b - (sum - a)};
}

/// a * b without a rounding error, the factors split into halves of 26 bits (Veltkamp and Dekker 1971).
Pair product(double a, double b) {
  constexpr double k_split = 134217729.0;  // 2^27 + 1
  const double ta = k_split * a;
  const double tb = k_split * b;
  const double ah = ta - (ta - a);
  const double bh = tb - (tb - b);
  const double al = a - ah;
  const double bl = b - bh;
  const double whole = a * b;
  return {whole, ((ah * bh - whole) + ah * bl + al * bh) + al * bl};
}

Pair product(const Pair& a, const Pair& b) {
  const Pair whole = product(a.high, b.high);
  return quick_sum(whole.high, whole.low + (a.high * b.low + a.low * b.high));
}

constexpr Pair k_ln_2{0x1.62e42fefa39efp-1, 0x1.abc9e3b39803fp-56};
constexpr Pair k_2_over_ln_2{0x1.71547652b82fep1, 0x1.777d0ffda0d24p-55};

}  // namespace

double exp2_of(double x) {
  const double whole = std::floor(x + 0.5);
  // e^y with |y| <= ln 2 / 2 by its series: 1, y and y^2 / 2 exactly enough, the rest is below 0.007.
  const Pair y = product({x - whole, 0}, k_ln_2);
  const Pair square = product(y, y);
  double rest = 0;
  for (int k = 17; k >= 3; --k) rest = (rest + 1.0) * y.high / k;
  rest *= square.high * 0.5;
  Pair sum = quick_sum(1.0, y.high);
  const Pair half = quick_sum(square.high * 0.5, rest);
  const Pair next = quick_sum(sum.high, half.high);
  sum = {next.high, sum.low + next.low + half.low + y.low + square.low * 0.5};
  const auto exponent = static_cast<std::uint64_t>(static_cast<std::int64_t>(whole) + 1023);
  return (sum.high + sum.low) * std::bit_cast<double>(exponent << 52U);
}

double log2_of(double x) {
  const auto bits = std::bit_cast<std::uint64_t>(x);
  auto exponent = static_cast<double>(static_cast<std::int64_t>(bits >> 52U) - 1023);
  double m = std::bit_cast<double>((bits & 0x000FFFFFFFFFFFFFULL) | 0x3FF0000000000000ULL);
  if (m > 1.41421356237309505) {
    m *= 0.5;
    exponent += 1.0;
  }
  // ln m = 2 artanh t with t = (m - 1) / (m + 1), |t| below 0.172: t exactly enough, the rest of the series is below
  // a hundredth of it.
  const Pair under = m > 1.0 ? quick_sum(m, 1.0) : quick_sum(1.0, m);
  const double t = (m - 1.0) / under.high;
  const Pair back = product(t, under.high);
  const Pair quotient = quick_sum(t, (((m - 1.0) - back.high) - back.low - t * under.low) / under.high);
  const double t2 = t * t;
  double rest = 0;
  for (int k = 23; k >= 3; k -= 2) rest = (rest + 1.0 / k) * t2;
  const Pair artanh = quick_sum(quotient.high, quotient.low + rest * t);
  const Pair log = product(artanh, k_2_over_ln_2);
  if (exponent == 0.0) return log.high + log.low;
  const Pair sum = quick_sum(exponent, log.high);
  return sum.high + (sum.low + log.low);
}

double hypotenuse(double x, double y) { return std::sqrt(x * x + y * y); }

}  // namespace fretloom
