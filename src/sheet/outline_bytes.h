#pragma once
// The music font in few bytes, for programs that carry it within themselves (a WebAssembly module has no file to read).

#include <string>
#include <string_view>

#include "base/result.h"
#include "sheet/music_font.h"

namespace fretloom::sheet {

/// Lengths of an outline are whole multiples of this part of a staff space, so that their decimals are few.
constexpr double k_outline_grid = 1e-6;
/// The nearest length on the grid.
[[nodiscard]] double on_outline_grid(double length);

/// "FLO1", then the symbols in the order of symbol_rows(): the number of decimals d (one byte, 0 to 6), advance, box
/// (left top right bottom), the number of steps, and the steps (one byte: 0 move, 1 line, 2 curve, 3 close; then its
/// points). A length is a whole number of 10^-d staff spaces; points count from the point before. Numbers are written
/// in sevens of bits, the lowest first, a set top bit says that more follow; signed ones as 0, -1, 1, -2, ...
/// Errors (range): a length that is not on the grid, or 1000 staff spaces and more.
[[nodiscard]] Result<std::string> pack_outlines(const MusicFont& font);

/// The same font, equal to the last bit. Errors (syntax): no such bytes, or cut short (`at` is the byte).
[[nodiscard]] Result<MusicFont> unpack_outlines(std::string_view bytes);

}  // namespace fretloom::sheet
