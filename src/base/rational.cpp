#include "base/rational.h"

#include <cassert>
#include <cmath>
#include <limits>
#include <numeric>

namespace fretloom {

namespace {

__extension__ using Wide = __int128;

Wide wide_gcd(Wide a, Wide b) {
  if (a < 0) a = -a;
  while (b != 0) {
    const Wide t = a % b;
    a = b;
    b = t;
  }
  return a;
}

Rational reduced(Wide num, Wide den) {
  if (den < 0) {
    num = -num;
    den = -den;
  }
  const Wide g = wide_gcd(num, den);
  if (g > 1) {
    num /= g;
    den /= g;
  }
  assert(num <= std::numeric_limits<std::int64_t>::max() && num >= std::numeric_limits<std::int64_t>::min());
  assert(den <= std::numeric_limits<std::int64_t>::max());
  return {static_cast<std::int64_t>(num), static_cast<std::int64_t>(den)};
}

}  // namespace

Rational::Rational(std::int64_t num, std::int64_t den) : num_(num), den_(den) {
  assert(den != 0);
  if (den_ < 0) {
    num_ = -num_;
    den_ = -den_;
  }
  const std::int64_t g = std::gcd(num_, den_);
  if (g > 1) {
    num_ /= g;
    den_ /= g;
  }
}

std::int64_t Rational::floor() const { return floor_div(num_, den_); }
std::int64_t Rational::ceil() const { return -floor_div(-num_, den_); }
std::int64_t Rational::round_half_up() const { return (*this + Rational(1, 2)).floor(); }
double Rational::to_double() const { return static_cast<double>(num_) / static_cast<double>(den_); }

std::string Rational::to_string() const {
  return den_ == 1 ? std::to_string(num_) : std::to_string(num_) + "/" + std::to_string(den_);
}

Rational Rational::operator-() const { return {-num_, den_}; }

Rational operator+(const Rational& a, const Rational& b) {
  if (a.den_ == b.den_) return reduced(Wide(a.num_) + b.num_, a.den_);
  return reduced(Wide(a.num_) * b.den_ + Wide(b.num_) * a.den_, Wide(a.den_) * b.den_);
}
Rational operator-(const Rational& a, const Rational& b) { return a + (-b); }
Rational operator*(const Rational& a, const Rational& b) {
  return reduced(Wide(a.num_) * b.num_, Wide(a.den_) * b.den_);
}
Rational operator/(const Rational& a, const Rational& b) {
  assert(b.num_ != 0);
  return reduced(Wide(a.num_) * b.den_, Wide(a.den_) * b.num_);
}

std::strong_ordering operator<=>(const Rational& a, const Rational& b) {
  const Wide left = Wide(a.num_) * b.den_;
  const Wide right = Wide(b.num_) * a.den_;
  if (left < right) return std::strong_ordering::less;
  if (left > right) return std::strong_ordering::greater;
  return std::strong_ordering::equal;
}

bool nearest_fraction(double value, std::int64_t max_den, Rational& out) {
  if (!std::isfinite(value) || std::abs(value) > 1e9) return false;
  for (std::int64_t den = 1; den <= max_den; ++den) {
    const double scaled = value * static_cast<double>(den);
    const double nearest = std::round(scaled);
    if (std::abs(scaled - nearest) < 1e-6 * static_cast<double>(den)) {
      out = Rational(static_cast<std::int64_t>(nearest), den);
      return true;
    }
  }
  return false;
}

}  // namespace fretloom
