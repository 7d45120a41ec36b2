#include "sheet/path_pen.h"

#include <charconv>
#include <cmath>

namespace fretloom::sheet {

GridPoint on_grid(Point pixels) {
  return {static_cast<std::int64_t>(std::llround(pixels.x * 100)),
          static_cast<std::int64_t>(std::llround(pixels.y * 100))};
}

void append_hundredths(std::string& out, std::int64_t hundredths) {
  if (hundredths < 0) {
    out += '-';
    hundredths = -hundredths;
  }
  if (hundredths >= 100 || hundredths == 0) {
    char digits[24];
    out.append(digits, std::to_chars(digits, digits + sizeof digits, hundredths / 100).ptr);
  }
  const auto fraction = static_cast<int>(hundredths % 100);
  if (fraction == 0) return;
  out += '.';
  out += static_cast<char>('0' + fraction / 10);
  if (fraction % 10 != 0) out += static_cast<char>('0' + fraction % 10);
}

void PathPen::step(char letter) {
  data_ += letter;
  open_ = false;
}

void PathPen::number(std::int64_t hundredths) {
  if (open_ && hundredths >= 0) data_ += ' ';
  append_hundredths(data_, hundredths);
  open_ = true;
}

void PathPen::relative(GridPoint to) {
  number(to.x - at_.x);
  number(to.y - at_.y);
}

void PathPen::move(GridPoint to) {
  step('m');
  relative(to);
  at_ = start_ = to;
}

void PathPen::line(GridPoint to) {
  if (to.y == at_.y) {
    step('h');
    number(to.x - at_.x);
  } else if (to.x == at_.x) {
    step('v');
    number(to.y - at_.y);
  } else {
    step('l');
    relative(to);
  }
  at_ = to;
}

void PathPen::curve(GridPoint control_1, GridPoint control_2, GridPoint to) {
  step('c');
  relative(control_1);
  relative(control_2);
  relative(to);
  at_ = to;
}

void PathPen::arc(GridPoint radii, bool sweep, GridPoint to) {
  step('a');
  number(radii.x);
  number(radii.y);
  data_ += sweep ? " 0 0 1" : " 0 0 0";
  relative(to);
  at_ = to;
}

void PathPen::close() {
  step('z');
  at_ = start_;
}

void PathPen::append(const std::string& steps, GridPoint start) {
  data_ += steps;
  open_ = false;
  at_ = start_ = start;
}

}  // namespace fretloom::sheet
