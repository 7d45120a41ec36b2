#include "sheet/number.h"

#include <charconv>
#include <cmath>
#include <cstdint>

namespace fretloom::sheet {

void append_fixed(std::string& out, double value) {
  auto thousandths = static_cast<std::int64_t>(std::llround(value * 1000.0));
  if (thousandths < 0) {
    out += '-';
    thousandths = -thousandths;
  }
  char digits[24];
  const auto end = std::to_chars(digits, digits + sizeof digits, thousandths / 1000).ptr;
  out.append(digits, end);
  int fraction = static_cast<int>(thousandths % 1000);
  if (fraction == 0) return;
  out += '.';
  out += static_cast<char>('0' + fraction / 100);
  fraction %= 100;
  if (fraction == 0) return;
  out += static_cast<char>('0' + fraction / 10);
  if (fraction % 10 != 0) out += static_cast<char>('0' + fraction % 10);
}

std::string fixed(double value) {
  std::string out;
  append_fixed(out, value);
  return out;
}

}  // namespace fretloom::sheet
