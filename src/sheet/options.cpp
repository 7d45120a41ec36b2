#include "sheet/options.h"

#include <algorithm>
#include <cstdint>

#include "base/text.h"

namespace fretloom::sheet {

namespace {

constexpr std::string_view k_png_signature("\x89PNG\r\n\x1a\n", 8);
constexpr std::size_t k_ihdr_end = 24;
constexpr std::uint32_t k_largest_side = 20000;

std::uint32_t big_endian(const std::string& bytes, std::size_t at) {
  std::uint32_t value = 0;
  for (std::size_t i = 0; i < 4; ++i) value = (value << 8U) | static_cast<unsigned char>(bytes[at + i]);
  return value;
}

}  // namespace

PrintSize screen_print(double digits) {
  constexpr double k_screen_prose = 17;
  return {Millimetres(pixels(digits).value / k_fret_size), pixels(std::max(k_screen_prose, digits))};
}

void SheetOptions::set_paper(const Paper& chosen) {
  paper = chosen;
  set_print(paper.is_screen() ? screen_print() : k_usual_print);
}

void SheetOptions::set_print(const PrintSize& size) {
  staff_space = size.staff_space;
  text_size = size.text;
}

Result<Paper> parse_paper(std::string_view text) {
  const std::string word = lower(trim(text));
  if (word == "a4") return k_a4;
  if (word == "letter") return k_letter;
  if (word == "strip") return k_strip;
  if (word == "screen") return screen_paper(k_usual_screen);
  return Error{ErrorKind::syntax, 0,
               '"' + std::string(text) + "\" is not a paper size; write a4, letter, strip or screen", "a4"};
}

double smallest_text(const SheetOptions& options) {
  const Millimetres size = options.paper.is_screen() ? pixels(k_least_digits) : Millimetres(7 * k_print_point);
  return size.value / options.staff_space.value;
}

Result<Logo> make_logo(std::string bytes, const std::string& where) {
  if (bytes.size() > k_max_logo_bytes) {
    return Error{ErrorKind::limit, 0, "the logo " + where + " is larger than " + byte_text(k_max_logo_bytes),
                 "a smaller PNG"};
  }
  if (bytes.size() < k_ihdr_end || std::string_view(bytes).substr(0, 8) != k_png_signature ||
      std::string_view(bytes).substr(12, 4) != "IHDR") {
    return Error{ErrorKind::syntax, 0, "the logo " + where + " is not a PNG file", "a PNG file"};
  }
  const std::uint32_t width = big_endian(bytes, 16);
  const std::uint32_t height = big_endian(bytes, 20);
  if (width == 0 || height == 0 || width > k_largest_side || height > k_largest_side) {
    return Error{ErrorKind::syntax, 0, "the logo " + where + " has a side of 0 or more than 20000 pixels",
                 "a PNG file"};
  }
  return Logo{std::move(bytes), static_cast<int>(width), static_cast<int>(height)};
}

}  // namespace fretloom::sheet
