#pragma once
// The arithmetic of the voice: no libc, no tables, only IEEE-754 double operations in a fixed order, so
// that every compiler and every machine gives the same bits (build with -ffp-contract=off). Accuracy is
// stated per function; all are used at note rate, none inside the sample loops.

#include <stdint.h>

namespace fretloom::voice {

constexpr double k_pi = 3.14159265358979323846;
constexpr int k_rate = 48000;  ///< frames a second; the only rate the voice runs at

/// Largest whole number not above x. Range: |x| < 2^62.
constexpr double floor_of(double x) {
  const auto t = static_cast<double>(static_cast<int64_t>(x));
  return t > x ? t - 1.0 : t;
}

constexpr double abs_of(double x) { return x < 0.0 ? -x : x; }
template <class T>
constexpr T min_of(T a, T b) {
  return b < a ? b : a;
}
template <class T>
constexpr T max_of(T a, T b) {
  return a < b ? b : a;
}
template <class T>
constexpr T clamp_to(T x, T low, T high) {
  return x < low ? low : (high < x ? high : x);
}

/// 2^x, relative error below 1e-13. Range: -1000 < x < 1000.
constexpr double exp2_of(double x) {
  const double whole = floor_of(x + 0.5);
  const double y = (x - whole) * 0.69314718055994530942;
  double term = 1.0;
  double sum = 1.0;
  for (int k = 1; k <= 13; ++k) {
    term = term * y / k;
    sum += term;
  }
  const uint64_t bits = static_cast<uint64_t>(static_cast<int64_t>(whole) + 1023) << 52;
  return sum * __builtin_bit_cast(double, bits);
}

/// Logarithm to base 2, absolute error below 1e-13. Precondition: x is normal and > 0.
constexpr double log2_of(double x) {
  const auto bits = __builtin_bit_cast(uint64_t, x);
  auto exponent = static_cast<double>(static_cast<int64_t>(bits >> 52) - 1023);
  double m = __builtin_bit_cast(double, (bits & 0x000FFFFFFFFFFFFFULL) | 0x3FF0000000000000ULL);
  if (m > 1.41421356237309505) {
    m = m * 0.5;
    exponent += 1.0;
  }
  // ln m = 2 artanh((m - 1) / (m + 1)), |argument| below 0.172.
  const double t = (m - 1.0) / (m + 1.0);
  const double t2 = t * t;
  double power = t;
  double sum = 0.0;
  for (int k = 1; k <= 19; k += 2) {
    sum += power / k;
    power *= t2;
  }
  return exponent + 2.0 * sum * 1.44269504088896340736;
}

/// x^y. Precondition: x > 0.
constexpr double pow_of(double x, double y) { return exp2_of(y * log2_of(x)); }
/// 10^x.
constexpr double exp10_of(double x) { return exp2_of(x * 3.32192809488736234787); }
/// Amplitude factor of a level in decibels.
constexpr double from_decibels(double db) { return exp10_of(db / 20.0); }

/// Square root, relative error below 1e-15; 0 for x <= 0.
constexpr double sqrt_of(double x) {
  if (x <= 0.0) return 0.0;
  double y = exp2_of(0.5 * log2_of(x));
  y = 0.5 * (y + x / y);
  return 0.5 * (y + x / y);
}

/// Sine of x radians, absolute error below 1e-14. Range: |x| < 1e9 (accuracy falls with |x|).
constexpr double sin_of(double x) {
  double turns = x / (2.0 * k_pi);
  turns -= floor_of(turns + 0.5);         // -1/2 .. 1/2
  if (turns > 0.25) turns = 0.5 - turns;  // fold to a quarter turn
  if (turns < -0.25) turns = -0.5 - turns;
  const double y = turns * 2.0 * k_pi;
  const double y2 = y * y;
  double term = y;
  double sum = y;
  for (int k = 1; k <= 10; ++k) {
    term = -term * y2 / ((2.0 * k) * (2.0 * k + 1.0));
    sum += term;
  }
  return sum;
}
constexpr double cos_of(double x) { return sin_of(x + 0.5 * k_pi); }

/// Arc tangent, absolute error below 1e-13.
constexpr double atan_of(double x) {
  if (x < 0.0) return -atan_of(-x);
  if (x > 1.0) return 0.5 * k_pi - atan_of(1.0 / x);
  // Two halvings of the angle bring the argument below 0.2.
  const double a = x / (1.0 + sqrt_of(1.0 + x * x));
  const double b = a / (1.0 + sqrt_of(1.0 + a * a));
  const double b2 = b * b;
  double power = b;
  double sum = 0.0;
  for (int k = 0; k <= 9; ++k) {
    sum += (k % 2 == 0 ? power : -power) / (2 * k + 1);
    power *= b2;
  }
  return 4.0 * sum;
}

/// Noise by counting: the same key and index give the same value, -1 to 1, on every machine.
constexpr float noise_at(uint32_t key, uint32_t index) {
  uint32_t h = key * 0x9E3779B1U ^ (index + 0x7F4A7C15U) * 0x85EBCA6BU;
  h ^= h >> 16;
  h *= 0x7FEB352DU;
  h ^= h >> 15;
  h *= 0x846CA68BU;
  h ^= h >> 16;
  return static_cast<float>(static_cast<int32_t>(h >> 8) - 0x800000) * (1.0F / 8388608.0F);
}

}  // namespace fretloom::voice
