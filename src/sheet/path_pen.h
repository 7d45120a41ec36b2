#pragma once
// The data of an SVG path: steps relative to where the pen stands, in hundredths of a pixel, so that a shape reads the
// same wherever it stands and rounding never adds up.

#include <cstdint>
#include <string>

#include "sheet/geometry.h"

namespace fretloom::sheet {

/// A place in hundredths of a pixel.
struct GridPoint {
  std::int64_t x = 0;
  std::int64_t y = 0;

  friend bool operator==(const GridPoint&, const GridPoint&) = default;
  friend GridPoint operator+(GridPoint a, GridPoint b) { return {a.x + b.x, a.y + b.y}; }
  friend GridPoint operator-(GridPoint a, GridPoint b) { return {a.x - b.x, a.y - b.y}; }
};

/// Nearest place of the grid, of pixels.
[[nodiscard]] GridPoint on_grid(Point pixels);
/// 125 as "1.25", -50 as "-.5", 0 as "0".
void append_hundredths(std::string& out, std::int64_t hundredths);

class PathPen {
 public:
  void move(GridPoint to);
  void line(GridPoint to);
  void curve(GridPoint control_1, GridPoint control_2, GridPoint to);
  /// Half an ellipse or a quarter of one, `sweep` as SVG has it (true: the way of the clock).
  void arc(GridPoint radii, bool sweep, GridPoint to);
  void close();
  /// Steps that were written before with the pen at another place; `start` is where their contour begins and the pen
  /// goes back to when they close it.
  void append(const std::string& steps, GridPoint start);

  [[nodiscard]] const std::string& data() const { return data_; }

 private:
  void step(char letter);
  void number(std::int64_t hundredths);
  void relative(GridPoint to);

  std::string data_;
  GridPoint at_;
  GridPoint start_;
  bool open_ = false;  ///< the last thing written is a number, which another one must be kept apart from
};

}  // namespace fretloom::sheet
