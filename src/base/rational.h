#pragma once
// Exact fractions for musical time.

#include <compare>
#include <cstdint>
#include <string>

namespace fretloom {

/// A fraction in lowest terms with a positive denominator. Range: numerator and denominator each fit
/// 64 bits after reduction (asserted; a lesson's legal values stay many orders below).
class Rational {
 public:
  constexpr Rational() = default;
  constexpr Rational(std::int64_t whole) : num_(whole) {}
  /// Precondition: den != 0.
  Rational(std::int64_t num, std::int64_t den);

  [[nodiscard]] std::int64_t num() const { return num_; }
  [[nodiscard]] std::int64_t den() const { return den_; }
  [[nodiscard]] bool is_whole() const { return den_ == 1; }
  /// Largest whole number not above the value; -1/2 gives -1.
  [[nodiscard]] std::int64_t floor() const;
  /// Smallest whole number not below the value; 5/4 gives 2.
  [[nodiscard]] std::int64_t ceil() const;
  /// Nearest whole number, halves up (toward plus infinity): 1/2 gives 1, -1/2 gives 0.
  [[nodiscard]] std::int64_t round_half_up() const;
  [[nodiscard]] double to_double() const;
  /// "3", "1/4", "-1/2".
  [[nodiscard]] std::string to_string() const;

  Rational operator-() const;
  friend Rational operator+(const Rational& a, const Rational& b);
  friend Rational operator-(const Rational& a, const Rational& b);
  friend Rational operator*(const Rational& a, const Rational& b);
  /// Precondition: b != 0.
  friend Rational operator/(const Rational& a, const Rational& b);
  Rational& operator+=(const Rational& b) { return *this = *this + b; }
  Rational& operator-=(const Rational& b) { return *this = *this - b; }

  friend bool operator==(const Rational&, const Rational&) = default;
  friend std::strong_ordering operator<=>(const Rational& a, const Rational& b);

 private:
  std::int64_t num_ = 0;
  std::int64_t den_ = 1;
};

/// The fraction with a denominator of at most `max_den` that lies within 1e-6 of `value`; the one
/// with the smallest such denominator. Returns false if there is none or value is not finite.
bool nearest_fraction(double value, std::int64_t max_den, Rational& out);

/// a modulo b with a result in [0, b). Precondition: b > 0.
[[nodiscard]] constexpr std::int64_t floor_mod(std::int64_t a, std::int64_t b) {
  const std::int64_t m = a % b;
  return m < 0 ? m + b : m;
}

/// a / b rounded toward minus infinity. Precondition: b > 0.
[[nodiscard]] constexpr std::int64_t floor_div(std::int64_t a, std::int64_t b) { return (a - floor_mod(a, b)) / b; }

}  // namespace fretloom
