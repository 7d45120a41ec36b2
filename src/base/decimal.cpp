#include "base/decimal.h"

#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <string_view>
#include <system_error>

namespace fretloom {

namespace {

template <class... Values>
std::string formatted(const char* format, Values... values) {
  std::array<char, 64> buffer{};
  const int size = std::snprintf(buffer.data(), buffer.size(), format, values...);
  return {buffer.data(), static_cast<std::size_t>(size)};
}

}  // namespace

std::string fixed_decimal(double value, int decimals) { return formatted("%.*f", decimals, value); }

#ifndef _LIBCPP_VERSION

std::from_chars_result read_decimal(const char* first, const char* last, double& value) {
  return std::from_chars(first, last, value);
}

std::string shortest_decimal(double value) {
  std::array<char, 32> buffer{};
  return {buffer.data(), std::to_chars(buffer.data(), buffer.data() + buffer.size(), value).ptr};
}

#else  // libc++ 16; its C library's strtod rounds to the nearest double and knows no other locale than C

std::from_chars_result read_decimal(const char* first, const char* last, double& value) {
  std::string text(first, last);
  const std::size_t digits = !text.empty() && text.front() == '-' ? 1 : 0;
  const std::string_view tail = std::string_view(text).substr(digits);
  const bool is_word = tail.starts_with('i') || tail.starts_with('I') || tail.starts_with('n') || tail.starts_with('N');
  const bool is_number = !tail.empty() && ((tail.front() >= '0' && tail.front() <= '9') || tail.front() == '.');
  if (!is_word && !is_number) return {first, std::errc::invalid_argument};
  if (tail.size() > 1 && tail[0] == '0' && (tail[1] == 'x' || tail[1] == 'X'))
    text.resize(digits + 1);  // no hexadecimal
  char* end = nullptr;
  const double read = std::strtod(text.c_str(), &end);
  const std::string_view used(text.data(), static_cast<std::size_t>(end - text.data()));
  if (used.empty()) return {first, std::errc::invalid_argument};
  const std::string_view mantissa = used.substr(0, used.find_first_of("eE"));
  const bool is_nothing = read == 0 && mantissa.find_first_of("123456789") != std::string_view::npos;
  const bool is_too_large = is_number && std::isinf(read);
  if (is_nothing || is_too_large) return {first + used.size(), std::errc::result_out_of_range};
  value = read;
  return {first + used.size(), std::errc{}};
}

std::string shortest_decimal(double value) {
  if (value == 0 || !std::isfinite(value)) return formatted("%g", value);
  // The fewest digits that read back the same, as d.ddde+dd.
  std::string scientific;
  for (int digits = 0; digits < 17; ++digits) {
    scientific = formatted("%.*e", digits, value);
    if (std::strtod(scientific.c_str(), nullptr) == value) break;
  }
  const std::size_t e = scientific.find('e');
  const int exponent = std::atoi(scientific.c_str() + e + 1);
  const bool is_negative = scientific.front() == '-';
  const int point = scientific.find('.') < e ? 1 : 0;
  const int places = static_cast<int>(e) - (is_negative ? 1 : 0) - 1 - point - exponent;  // behind the point
  const std::string fixed = formatted("%.*f", places > 0 && places < 40 ? places : 0, value);
  return places < 40 && fixed.size() <= scientific.size() ? fixed : scientific;
}

#endif

}  // namespace fretloom
