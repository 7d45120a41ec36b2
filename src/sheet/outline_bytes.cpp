#include "sheet/outline_bytes.h"

#include <array>
#include <cmath>
#include <cstdint>
#include <optional>

namespace fretloom::sheet {

namespace {

using Kind = OutlineStep::Kind;

constexpr std::string_view k_head = "FLO1";
constexpr std::size_t k_most_decimals = 6;
constexpr std::array<double, k_most_decimals + 1> k_parts = {1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6};
constexpr double k_largest = 1000;  ///< staff spaces: no symbol is as large

/// How many points a step has.
std::size_t points_of(Kind kind) { return kind == Kind::close ? 0 : kind == Kind::curve ? 3 : 1; }

std::array<Point, 3> points(const OutlineStep& step) { return {step.a, step.b, step.c}; }

/// `length` as a whole number of parts, where that reads back as the same double.
std::optional<std::int64_t> whole(double length, double parts) {
  if (!(std::abs(length) < k_largest)) return std::nullopt;
  const std::int64_t number = std::llround(length * parts);
  const double back = static_cast<double>(number) / parts;
  if (back != length || std::signbit(back) != std::signbit(length)) return std::nullopt;
  return number;
}

/// Every length of a glyph, in the order in which they are written.
std::vector<double> lengths(const GlyphOutline& glyph) {
  std::vector<double> all = {glyph.advance, glyph.box.left, glyph.box.top, glyph.box.right, glyph.box.bottom};
  for (const OutlineStep& step : glyph.steps) {
    for (std::size_t i = 0; i < points_of(step.kind); ++i) {
      all.push_back(points(step)[i].x);
      all.push_back(points(step)[i].y);
    }
  }
  return all;
}

/// The fewest decimals in which every length of the glyph is whole.
std::optional<std::size_t> decimals_of(const GlyphOutline& glyph) {
  const std::vector<double> all = lengths(glyph);
  for (std::size_t decimals = 0; decimals <= k_most_decimals; ++decimals) {
    bool fits = true;
    for (const double length : all) fits = fits && whole(length, k_parts[decimals]).has_value();
    if (fits) return decimals;
  }
  return std::nullopt;
}

class Writer {
 public:
  explicit Writer(double parts) : parts_(parts) {}

  void add(std::uint64_t number) {
    for (; number >= 0x80; number >>= 7U) bytes_ += static_cast<char>((number & 0x7FU) | 0x80U);
    bytes_ += static_cast<char>(number);
  }
  void add_signed(std::int64_t number) {
    add(static_cast<std::uint64_t>(number) << 1U ^ static_cast<std::uint64_t>(number >> 63U));
  }
  void add(double length) { add_signed(whole(length, parts_).value_or(0)); }
  void add(const Point& point) {
    const std::int64_t x = whole(point.x, parts_).value_or(0);
    const std::int64_t y = whole(point.y, parts_).value_or(0);
    add_signed(x - x_);
    add_signed(y - y_);
    x_ = x;
    y_ = y;
  }
  void add(const OutlineStep& step) {
    add(static_cast<std::uint64_t>(step.kind));
    for (std::size_t i = 0; i < points_of(step.kind); ++i) add(points(step)[i]);
  }
  [[nodiscard]] std::string take() { return std::move(bytes_); }

 private:
  double parts_;
  std::int64_t x_ = 0;
  std::int64_t y_ = 0;
  std::string bytes_;
};

/// Reads on until something is wrong, and from then on zeros.
class Reader {
 public:
  explicit Reader(std::string_view bytes) : bytes_(bytes) {}

  std::uint64_t number() {
    std::uint64_t value = 0;
    for (unsigned shift = 0; shift < 35; shift += 7) {
      if (at_ == bytes_.size()) break;
      const auto byte = static_cast<unsigned char>(bytes_[at_++]);
      value |= static_cast<std::uint64_t>(byte & 0x7FU) << shift;
      if (byte < 0x80) return value;
    }
    sound_ = false;
    return 0;
  }
  std::int64_t signed_number() {
    const std::uint64_t raw = number();
    return static_cast<std::int64_t>(raw >> 1U) ^ -static_cast<std::int64_t>(raw & 1U);
  }
  double length(double parts) { return static_cast<double>(signed_number()) / parts; }
  Point point(double parts) {
    x_ += signed_number();
    y_ += signed_number();
    return {static_cast<double>(x_) / parts, static_cast<double>(y_) / parts};
  }
  std::optional<OutlineStep> step(double parts) {
    const std::uint64_t kind = number();
    if (kind > static_cast<std::uint64_t>(Kind::close)) sound_ = false;
    if (!sound_) return std::nullopt;
    OutlineStep step;
    step.kind = static_cast<Kind>(kind);
    const std::size_t count = points_of(step.kind);
    if (count > 0) step.a = point(parts);
    if (count > 1) step.b = point(parts);
    if (count > 2) step.c = point(parts);
    return step;
  }
  /// Points count from 0 again.
  void start_glyph() { x_ = y_ = 0; }
  [[nodiscard]] bool is_sound() const { return sound_; }
  [[nodiscard]] std::size_t at() const { return at_; }
  [[nodiscard]] bool is_done() const { return at_ == bytes_.size(); }

 private:
  std::string_view bytes_;
  std::size_t at_ = 0;
  bool sound_ = true;
  std::int64_t x_ = 0;
  std::int64_t y_ = 0;
};

std::optional<GlyphOutline> read_glyph(Reader& reader) {
  const std::uint64_t decimals = reader.number();
  if (decimals > k_most_decimals) return std::nullopt;
  const double parts = k_parts[static_cast<std::size_t>(decimals)];
  GlyphOutline glyph;
  glyph.advance = reader.length(parts);
  for (double* side : {&glyph.box.left, &glyph.box.top, &glyph.box.right, &glyph.box.bottom})
    *side = reader.length(parts);
  reader.start_glyph();
  const std::uint64_t steps = reader.number();
  for (std::uint64_t i = 0; i < steps; ++i) {
    const auto step = reader.step(parts);
    if (!step) return std::nullopt;
    glyph.steps.push_back(*step);
  }
  return reader.is_sound() ? std::optional(std::move(glyph)) : std::nullopt;
}

}  // namespace

double on_outline_grid(double length) {
  const double on_grid = std::round(length * k_parts.back()) / k_parts.back();
  return on_grid == 0 ? 0.0 : on_grid;  // never -0
}

Result<std::string> pack_outlines(const MusicFont& font) {
  std::string bytes(k_head);
  for (const SymbolRow& row : symbol_rows()) {
    const GlyphOutline& glyph = font.glyph(row.symbol);
    const auto decimals = decimals_of(glyph);
    if (!decimals)
      return Error{ErrorKind::range, 0, std::string(row.name) + " has lengths that are not on the grid", ""};
    Writer writer(k_parts[*decimals]);
    writer.add(static_cast<std::uint64_t>(*decimals));
    writer.add(glyph.advance);
    for (const double side : {glyph.box.left, glyph.box.top, glyph.box.right, glyph.box.bottom}) writer.add(side);
    writer.add(static_cast<std::uint64_t>(glyph.steps.size()));
    for (const OutlineStep& step : glyph.steps) writer.add(step);
    bytes += writer.take();
  }
  return bytes;
}

Result<MusicFont> unpack_outlines(std::string_view bytes) {
  if (!bytes.starts_with(k_head)) return Error{ErrorKind::syntax, 0, "no packed music outlines", ""};
  Reader reader(bytes.substr(k_head.size()));
  const auto cut = [&] {
    return Error{ErrorKind::syntax, k_head.size() + reader.at(), "the packed music outlines are damaged", ""};
  };
  MusicFont font;
  for (const SymbolRow& row : symbol_rows()) {
    auto glyph = read_glyph(reader);
    if (!glyph) return cut();
    font.set(row.symbol, std::move(*glyph));
  }
  return reader.is_done() ? Result<MusicFont>(std::move(font)) : cut();
}

}  // namespace fretloom::sheet
