#pragma once
// Points and boxes of a page. Unit: staff spaces; x grows to the right, y DOWN the page.

#include <algorithm>

namespace fretloom::sheet {

struct Point {
  double x = 0;
  double y = 0;

  friend bool operator==(const Point&, const Point&) = default;
};

/// Axis-parallel box; empty (contains nothing) until something is added.
struct Box {
  double left = 1e9;
  double top = 1e9;
  double right = -1e9;
  double bottom = -1e9;

  [[nodiscard]] bool empty() const { return left > right || top > bottom; }
  [[nodiscard]] double width() const { return empty() ? 0 : right - left; }
  [[nodiscard]] double height() const { return empty() ? 0 : bottom - top; }

  void add(Point p) {
    left = std::min(left, p.x);
    right = std::max(right, p.x);
    top = std::min(top, p.y);
    bottom = std::max(bottom, p.y);
  }
  void add(const Box& other) {
    if (other.empty()) return;
    add(Point{other.left, other.top});
    add(Point{other.right, other.bottom});
  }
  [[nodiscard]] Box grown(double by) const { return {left - by, top - by, right + by, bottom + by}; }
  [[nodiscard]] bool overlaps(const Box& other) const {
    return left < other.right && other.left < right && top < other.bottom && other.top < bottom;
  }

  friend bool operator==(const Box&, const Box&) = default;
};

}  // namespace fretloom::sheet
