#include "sheet/text_setter.h"

#include <algorithm>

#include "base/text.h"

namespace fretloom::sheet {

namespace {

constexpr double k_measure = 36;            // em: more than k_most_letters of them
constexpr double k_least_last_line = 0.22;  // of the width
constexpr double k_narrowest = 0.75;        // of the width, to give a stray word company
constexpr double k_paragraph_gap = 0.45;    // of the pitch, for a blank line

std::size_t letters(const std::string& line) { return display_width(line); }

std::size_t longest(const std::vector<std::string>& lines) {
  std::size_t most = 0;
  for (const std::string& line : lines) most = std::max(most, letters(line));
  return most;
}

/// Letters of a line on the average, the last one aside.
double fullness(const std::vector<std::string>& lines) {
  double sum = 0;
  for (std::size_t i = 0; i + 1 < lines.size(); ++i) sum += static_cast<double>(letters(lines[i]));
  return sum / static_cast<double>(std::max<std::size_t>(1, lines.size() - 1));
}

}  // namespace

double measure_of(const TextKind& kind) { return k_measure * kind.size; }

std::vector<std::string> paragraph_lines(const TextMetrics& metrics, std::string_view text, const TextKind& kind,
                                         double width) {
  const auto lines_in = [&](double room) { return break_lines(metrics, text, kind.style, kind.size, room); };
  double room = width;
  std::vector<std::string> lines = lines_in(room);
  while (longest(lines) > k_most_letters && room > kind.size) lines = lines_in(room -= kind.size / 4);
  if (lines.size() < 2) return lines;
  // Of two lines the first may be short, but not of more.
  const double full = lines.size() > 2 ? std::min(k_fewest_letters, fullness(lines)) : 0;
  const double last = k_least_last_line * room;
  for (double narrower = room; narrower > k_narrowest * room; narrower -= kind.size / 4) {
    std::vector<std::string> tried = lines_in(narrower);
    if (tried.size() != lines.size() || fullness(tried) < full) break;
    if (metrics.width(tried.back(), kind.style, kind.size) >= last) return tried;
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
    for (const std::string& set : paragraph_lines(metrics_, paragraph, kind, std::min(width, measure_of(kind)))) {
      line(kind, {x, y}, set);
      y += kind.pitch;
    }
  }
}

void TextSetter::rule(double width, double y, double thickness) {
  block_.items.push_back({Mark::heading, {}, -1, LineShape{{0, y}, {width, y}, thickness, false}});
}

}  // namespace fretloom::sheet
