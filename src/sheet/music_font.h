#pragma once
// The music symbols as values: outlines, boxes and advances in staff spaces. Layout and the SVG writer
// take a MusicFont as an argument and open no file; outlines.h reads one from a text.

#include <cstdint>
#include <map>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "sheet/geometry.h"

namespace fretloom::sheet {

/// Every symbol that the sheet draws. Code points: SMuFL 1.4; those of own_glyphs.h have none.
enum class Symbol : std::uint16_t {
  treble_8vb,
  treble,
  bass,
  bass_8vb,
  tab_clef,
  head_whole,
  head_half,
  head_black,
  dot,
  flag_8_up,
  flag_8_down,
  flag_16_up,
  flag_16_down,
  flag_32_up,
  flag_32_down,
  flag_64_up,
  flag_64_down,
  flag_128_up,
  flag_128_down,
  rest_whole,
  rest_half,
  rest_quarter,
  rest_8,
  rest_16,
  rest_32,
  rest_64,
  rest_128,
  flat,
  natural,
  sharp,
  double_sharp,
  double_flat,
  triple_sharp,
  triple_flat,
  paren_left,
  paren_right,
  down_stroke,
  up_stroke,
  accent_above,
  accent_below,
  repeat_dot,
  ottava,
  two_octaves,
  ottava_below,
  two_octaves_below,
  beat_half,
  beat_quarter,
  beat_8,
  beat_16,
  beat_dot,
  time_0,
  time_1,
  time_2,
  time_3,
  time_4,
  time_5,
  time_6,
  time_7,
  time_8,
  time_9,
  time_plus,
  tuplet_0,
  tuplet_1,
  tuplet_2,
  tuplet_3,
  tuplet_4,
  tuplet_5,
  tuplet_6,
  tuplet_7,
  tuplet_8,
  tuplet_9,
  tuplet_colon,
  finger_0,
  finger_1,
  finger_2,
  finger_3,
  finger_4,
  count_
};

/// Row of the symbol table: where a symbol lives in the font and how that font's drawing becomes the
/// standard one. The text font's outlines stand at 0.8 of the standard size (200 of its 1000 units
/// are a staff space) and some families are shifted or enlarged; `drop` (staff spaces, downward) and
/// `scale` undo that, measured so that every box equals the published metadata within 0.02.
struct SymbolRow {
  Symbol symbol;
  std::string_view name;  ///< SMuFL glyph name, or our own
  char32_t code;          ///< 0 for one that we draw ourselves (own_glyphs.h)
  double drop;
  double scale;
  double shift;  ///< staff spaces to the right
};

[[nodiscard]] std::span<const SymbolRow> symbol_rows();
[[nodiscard]] const SymbolRow& row_of(Symbol symbol);

/// One step of an outline, in staff spaces with y up, origin at the glyph's reference point.
struct OutlineStep {
  enum class Kind : std::uint8_t { move, line, curve, close };
  Kind kind = Kind::move;
  Point a, b, c;  ///< move and line use a; curve (cubic) a, b as controls and c as its end

  friend bool operator==(const OutlineStep&, const OutlineStep&) = default;
};

/// A drawn symbol. The box is y DOWN like all boxes of this room.
struct GlyphOutline {
  std::vector<OutlineStep> steps;
  Box box;
  double advance = 0;

  friend bool operator==(const GlyphOutline&, const GlyphOutline&) = default;
};

/// Symbols of one font. A symbol that the font lacks has no steps and an empty box.
class MusicFont {
 public:
  MusicFont() : glyphs_(static_cast<std::size_t>(Symbol::count_)) {}
  void set(Symbol symbol, GlyphOutline outline) { glyphs_[index(symbol)] = std::move(outline); }
  [[nodiscard]] const GlyphOutline& glyph(Symbol symbol) const { return glyphs_[index(symbol)]; }
  [[nodiscard]] bool has(Symbol symbol) const { return !glyphs_[index(symbol)].steps.empty(); }
  [[nodiscard]] const Box& box(Symbol symbol) const { return glyphs_[index(symbol)].box; }
  /// Names of the symbols that the font lacks; empty for a complete font.
  [[nodiscard]] std::vector<std::string> missing() const;

 private:
  static std::size_t index(Symbol symbol) { return static_cast<std::size_t>(symbol); }
  std::vector<GlyphOutline> glyphs_;
};

/// SMuFL engraving defaults of this font, in staff spaces, and distances of ours that belong with them.
struct Engraving {
  static constexpr double staff_line = 0.13;
  static constexpr double stem = 0.12;
  static constexpr double ledger = 0.16;
  static constexpr double ledger_extension = 0.4;
  static constexpr double bar_line = 0.16;
  static constexpr double heavy_bar_line = 0.5;
  static constexpr double bar_line_gap = 0.4;
  static constexpr double beam = 0.5;
  static constexpr double beam_gap = 0.25;
  static constexpr double slur_middle = 0.22;
  static constexpr double slur_end = 0.1;
  static constexpr double bracket = 0.14;
  static constexpr double stem_length = 3.5;
  static constexpr double shortest_stem = 2.5;
  static constexpr double tab_spacing = 1.5;  ///< between tab lines (common practice, no source)
};

}  // namespace fretloom::sheet
