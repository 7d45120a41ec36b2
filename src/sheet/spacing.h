#pragma once
// Stage 3: horizontal spacing by springs and rods (Gourlay 1987; Renz 2002): every gap wants the width
// of its time value and never gets less than what its symbols need.

#include <vector>

#include "base/rational.h"

namespace fretloom::sheet {

/// The space between one column and the next.
struct Gap {
  double spring = 2.2;  ///< staff spaces at force 1
  double rod = 0;       ///< least width, staff spaces
};

/// Width at force 1 of a gap of `duration`, where `shortest` gets `width_of_shortest`: Gourlay's
/// 1 + 0.5 log2(d / d_min). Both durations in the same unit.
[[nodiscard]] double spring_width(const Rational& duration, const Rational& shortest, double width_of_shortest);

/// Sum of max(rod, force * spring).
[[nodiscard]] double width_at(const std::vector<Gap>& gaps, double force);

/// The force at which the gaps fill `width` exactly; 0 where the rods alone are as wide or wider.
/// Precondition: every spring > 0.
[[nodiscard]] double force_for(const std::vector<Gap>& gaps, double width);

}  // namespace fretloom::sheet
