#include "sheet/text_setter.h"

#include <algorithm>

#include "base/text.h"

namespace fretloom::sheet {

namespace {

constexpr double k_measure = 36;            // em; longer lines are hard to follow back (common practice)
constexpr double k_least_last_line = 0.22;  // of the width
constexpr double k_narrowest = 0.75;        // of the width, to give a stray word company
constexpr double k_paragraph_gap = 0.45;    // of the pitch, for a blank line

}  // namespace

std::vector<std::string> paragraph_lines(const TextMetrics& metrics, std::string_view text, const TextKind& kind,
                                         double width) {
  std::vector<std::string> lines = break_lines(metrics, text, kind.style, kind.size, width);
  if (lines.size() < 2) return lines;
  for (double narrower = width; narrower > k_narrowest * width; narrower -= kind.size / 2) {
    std::vector<std::string> tried = break_lines(metrics, text, kind.style, kind.size, narrower);
    if (tried.size() != lines.size()) break;
    if (metrics.width(tried.back(), kind.style, kind.size) >= k_least_last_line * width) return tried;
  }
  return lines;
}

void TextSetter::line(const TextKind& kind, Point at, const std::string& text, Anchor anchor) {
  if (text.empty()) return;
  const double width = metrics_.width(text, kind.style, kind.size);
  block_.items.push_back({kind.mark, {}, -1, TextShape{at, text, kind.style, kind.size, anchor, width}});
}

void TextSetter::prose(const TextKind& kind, double x, double& y, std::string_view text, double width) {
  for (const std::string_view paragraph : split(trim(text), '\n')) {
    if (trim(paragraph).empty()) y += k_paragraph_gap * kind.pitch;
    for (const std::string& set : paragraph_lines(metrics_, paragraph, kind, std::min(width, k_measure * kind.size))) {
      line(kind, {x, y}, set);
      y += kind.pitch;
    }
  }
}

void TextSetter::rule(double width, double y, double thickness) {
  block_.items.push_back({Mark::heading, {}, -1, LineShape{{0, y}, {width, y}, thickness, false}});
}

}  // namespace fretloom::sheet
