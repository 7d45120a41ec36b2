#include "sheet/code_drawing.h"

#include <algorithm>

#include "sheet/text_setter.h"

namespace fretloom::sheet {

namespace {

constexpr Millimetres k_usual_code{15};  // of the modules together, where few of them would come out smaller
constexpr TextKind k_words{Mark::code, TextStyle::italic, 1.7, 2.2};

/// Dark modules, those of a row that touch as one contour, so that no hairline shows between them.
PolygonShape modules(const LinkCode& code, Point at, double module) {
  PolygonShape shape;
  for (int row = 0; row < code.side; ++row) {
    for (int from = 0; from < code.side; ++from) {
      const auto is_dark = [&](int column) {
        return column < code.side && code.dark[static_cast<std::size_t>(row * code.side + column)];
      };
      if (!is_dark(from)) continue;
      int to = from;
      while (is_dark(to)) ++to;
      const double left = at.x + from * module;
      const double right = at.x + to * module;
      const double top = at.y + row * module;
      shape.contours.push_back({{left, top}, {right, top}, {right, top + module}, {left, top + module}});
      from = to;
    }
  }
  return shape;
}

}  // namespace

Block code_drawing(const LinkCode& code, CodeSide side, double width, const SheetOptions& options) {
  const double unit = options.staff_space.value * text_scale(options);  // mm
  const double module = std::max(k_least_module.value, k_usual_code.value / code.side) / unit;
  const double whole = (code.side + 2 * k_quiet_zone) * module;
  const double left = side == CodeSide::left ? 0 : width - whole;
  Block block;
  block.items.push_back(
      {Mark::code, {}, -1, modules(code, {left + k_quiet_zone * module, k_quiet_zone * module}, module)});
  block.height = whole;
  block.gap = k_part_gap;
  TextSetter setter(options.metrics, block);
  const auto lines = paragraph_lines(options.metrics, code.link, k_words, std::max(4.0, width - whole));
  double y = (whole - static_cast<double>(lines.size() - 1) * k_words.pitch) / 2 + k_words.size * k_cap_height / 2;
  for (const std::string& line : lines) {
    side == CodeSide::left ? setter.line(k_words, {whole, y}, line)
                           : setter.line(k_words, {left, y}, line, Anchor::end);
    y += k_words.pitch;
  }
  return block;
}

}  // namespace fretloom::sheet
