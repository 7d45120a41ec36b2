#pragma once
// The two edges of a bow, for writers that fill between them.

#include <cmath>

#include "base/arithmetic.h"
#include "sheet/scene.h"

namespace fretloom::sheet {

/// On the curve, t from 0 to 1.
[[nodiscard]] inline Point point_of(const BowShape& bow, double t) {
  const double u = 1 - t;
  const double a = u * u * u;
  const double b = 3 * u * u * t;
  const double c = 3 * u * t * t;
  const double d = t * t * t;
  return {a * bow.from.x + b * bow.control_1.x + c * bow.control_2.x + d * bow.to.x,
          a * bow.from.y + b * bow.control_1.y + c * bow.control_2.y + d * bow.to.y};
}

/// Controls of the outer and the inner edge. The bow's ends are drawn by a pen of `end` thickness.
struct BowEdges {
  Point outer_1, outer_2, inner_1, inner_2;
};

/// A cubic's middle lies three quarters of the way to its controls, so they part by middle / 0.75.
[[nodiscard]] inline BowEdges edges_of(const BowShape& bow) {
  const double part = (bow.middle - bow.end) / 0.75 / 2;
  const double dx = bow.to.x - bow.from.x;
  const double dy = bow.to.y - bow.from.y;
  const double length = std::max(1e-9, hypotenuse(dx, dy));
  const Point across{-dy / length * part, dx / length * part};
  return {{bow.control_1.x - across.x, bow.control_1.y - across.y},
          {bow.control_2.x - across.x, bow.control_2.y - across.y},
          {bow.control_1.x + across.x, bow.control_1.y + across.y},
          {bow.control_2.x + across.x, bow.control_2.y + across.y}};
}

}  // namespace fretloom::sheet
