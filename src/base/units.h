#pragma once
// Quantities that must not be mixed up. Raw doubles live only inside loops.

#include <compare>

#include "base/rational.h"

namespace fretloom {

/// A number with a unit: same-unit sums and comparisons, scaling by plain numbers, nothing else.
template <class Tag, class Rep>
struct Quantity {
  Rep value{};

  constexpr Quantity() = default;
  constexpr explicit Quantity(Rep v) : value(v) {}

  friend bool operator==(const Quantity&, const Quantity&) = default;
  friend auto operator<=>(const Quantity& a, const Quantity& b) { return a.value <=> b.value; }
  friend Quantity operator+(const Quantity& a, const Quantity& b) { return Quantity(a.value + b.value); }
  friend Quantity operator-(const Quantity& a, const Quantity& b) { return Quantity(a.value - b.value); }
  friend Quantity operator*(const Quantity& a, const Rep& k) { return Quantity(a.value * k); }
  Quantity operator-() const { return Quantity(-value); }
  Quantity& operator+=(const Quantity& b) { return *this = *this + b; }
};

/// Musical time in beats of the meter, exact. 0 is bar 1 beat 1; pick-ups are negative.
using Beats = Quantity<struct BeatsTag, Rational>;
using Seconds = Quantity<struct SecondsTag, double>;
using Hertz = Quantity<struct HertzTag, double>;
using Millimetres = Quantity<struct MillimetresTag, double>;

}  // namespace fretloom
