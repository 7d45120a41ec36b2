#include "sheet/outlines.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <map>
#include <optional>
#include <vector>

#include "base/decimal.h"
#include "base/text.h"

namespace fretloom::sheet {

namespace {

constexpr std::string_view k_head = "fretloom-outlines 1";
constexpr double k_largest = 1000;  ///< staff spaces: no symbol is as large

void append(std::string& text, double number) {
  std::array<char, 32> digits{};
  const auto end = std::to_chars(digits.data(), digits.data() + digits.size(), number).ptr;
  text += ' ';
  text.append(digits.data(), end);
}

void append(std::string& text, const Point& point) {
  append(text, point.x);
  append(text, point.y);
}

void append(std::string& text, const OutlineStep& step) {
  using Kind = OutlineStep::Kind;
  text += step.kind == Kind::move ? 'M' : step.kind == Kind::line ? 'L' : step.kind == Kind::curve ? 'C' : 'Z';
  if (step.kind != Kind::close) append(text, step.a);
  if (step.kind == Kind::curve) {
    append(text, step.b);
    append(text, step.c);
  }
  text += '\n';
}

/// The words of one line after the other.
class Lines {
 public:
  explicit Lines(std::string_view text) : text_(text) {}

  /// Nothing at the end of the text; a line without its newline was cut short and is not given.
  [[nodiscard]] std::optional<std::string_view> next() {
    start_ = at_;
    const std::size_t end = text_.find('\n', at_);
    if (end == std::string_view::npos) return std::nullopt;
    at_ = end + 1;
    return text_.substr(start_, end - start_);
  }
  /// Where the line begins that was given last.
  [[nodiscard]] std::size_t start() const { return start_; }

 private:
  std::string_view text_;
  std::size_t at_ = 0;
  std::size_t start_ = 0;
};

/// Exactly N numbers, each after one space.
template <std::size_t N>
std::optional<std::array<double, N>> read_numbers(std::string_view words) {
  std::array<double, N> numbers{};
  for (double& number : numbers) {
    if (words.empty() || words.front() != ' ') return std::nullopt;
    words.remove_prefix(1);
    const auto [end, error] = read_decimal(words.data(), words.data() + words.size(), number);
    if (error != std::errc() || !(std::abs(number) < k_largest)) return std::nullopt;
    words.remove_prefix(static_cast<std::size_t>(end - words.data()));
  }
  if (!words.empty()) return std::nullopt;
  return numbers;
}

std::optional<OutlineStep> read_step(std::string_view line) {
  using Kind = OutlineStep::Kind;
  if (line == "Z") return OutlineStep{Kind::close, {}, {}, {}};
  if (line.starts_with('M') || line.starts_with('L')) {
    const auto n = read_numbers<2>(line.substr(1));
    if (n) return OutlineStep{line.front() == 'M' ? Kind::move : Kind::line, {(*n)[0], (*n)[1]}, {}, {}};
  } else if (line.starts_with('C')) {
    const auto n = read_numbers<6>(line.substr(1));
    if (n) return OutlineStep{Kind::curve, {(*n)[0], (*n)[1]}, {(*n)[2], (*n)[3]}, {(*n)[4], (*n)[5]}};
  }
  return std::nullopt;
}

struct NamedGlyph {
  std::string_view name;
  GlyphOutline outline;
};

std::optional<NamedGlyph> read_glyph_line(std::string_view line) {
  constexpr std::string_view k_glyph = "glyph ";
  if (!line.starts_with(k_glyph)) return std::nullopt;
  line.remove_prefix(k_glyph.size());
  const std::size_t space = std::min(line.find(' '), line.size());
  const auto n = read_numbers<5>(line.substr(space));
  if (!n) return std::nullopt;
  return NamedGlyph{line.substr(0, space), {{}, {(*n)[1], (*n)[2], (*n)[3], (*n)[4]}, (*n)[0]}};
}

/// The glyphs by name, also those that the sheet does not draw.
Result<std::map<std::string_view, GlyphOutline>> read_glyphs(std::string_view text) {
  std::map<std::string_view, GlyphOutline> glyphs;
  GlyphOutline* open = nullptr;
  Lines lines(text);
  if (lines.next() != k_head) return Error{ErrorKind::syntax, 0, "no music outlines of version 1", ""};
  while (const auto line = lines.next()) {
    if (*line == "end") return glyphs;
    if (line->starts_with('#')) continue;
    if (auto glyph = read_glyph_line(*line)) {
      open = &(glyphs[glyph->name] = std::move(glyph->outline));
    } else if (const auto step = read_step(*line); step && open != nullptr) {
      open->steps.push_back(*step);
    } else {
      return Error{ErrorKind::syntax, lines.start(), "no glyph and no step of an outline", ""};
    }
  }
  return Error{ErrorKind::syntax, lines.start(), "the music outlines are cut short", ""};
}

}  // namespace

std::string write_outlines(const MusicFont& font, std::string_view comment) {
  std::string text = std::string(k_head) + "\n";
  for (const std::string_view line : split(comment, '\n'))
    text += line.empty() ? "#\n" : "# " + std::string(line) + "\n";
  for (const SymbolRow& row : symbol_rows()) {
    const GlyphOutline& glyph = font.glyph(row.symbol);
    if (glyph.steps.empty()) continue;
    text += "glyph " + std::string(row.name);
    append(text, glyph.advance);
    for (const double side : {glyph.box.left, glyph.box.top, glyph.box.right, glyph.box.bottom}) append(text, side);
    text += '\n';
    for (const OutlineStep& step : glyph.steps) append(text, step);
  }
  return text + "end\n";
}

Result<MusicFont> read_outlines(std::string_view text) {
  auto glyphs = read_glyphs(text);
  if (!glyphs) return glyphs.error();
  MusicFont font;
  for (const SymbolRow& row : symbol_rows()) {
    const auto found = glyphs->find(row.name);
    if (found != glyphs->end()) font.set(row.symbol, found->second);
  }
  if (const auto missing = font.missing(); !missing.empty())
    return Error{ErrorKind::range, 0, "the music outlines lack " + join(missing, ", "), ""};
  return font;
}

}  // namespace fretloom::sheet
