#pragma once
// The outline of what already stands above or below a staff, so that nothing set later collides.

#include <vector>

#include "sheet/geometry.h"

namespace fretloom::sheet {

/// Side::above keeps the smallest y over each x, Side::below the largest.
enum class Side { above, below };

class Skyline {
 public:
  /// `base`: the height where nothing stands (the staff's outer line).
  Skyline(Side side, double base) : side_(side), base_(base) {}

  void add(const Box& box);
  /// Outermost y within [left, right]; `base` where nothing stands.
  [[nodiscard]] double reach(double left, double right) const;

 private:
  struct Step {
    double left;
    double right;
    double y;
  };
  static constexpr double k_bin = 8;  ///< staff spaces a bin

  Side side_;
  double base_;
  std::vector<std::vector<Step>> bins_;
};

}  // namespace fretloom::sheet
