#pragma once
// The music font as a text of our own: what the build makes of the font file once, and every program reads.

#include <string>
#include <string_view>

#include "base/result.h"
#include "sheet/music_font.h"

namespace fretloom::sheet {

/// One line a glyph and one a step, symbols in the order of symbol_rows(); lengths in staff spaces. Lines that
/// start with # are `comment`, which says whose drawings these are.
///
///     fretloom-outlines 1
///     # Outlines of ...
///     glyph noteheadBlack 1.18 0 -0.5 1.18 0.5     name, advance, box: left top right bottom (y down)
///     M 0.97 0.5                                   move; L line, C curve: two controls and the end (y up), Z close
///     end
///
/// A number is the shortest decimal that reads back as the same double, so that a drawing keeps its bytes.
[[nodiscard]] std::string write_outlines(const MusicFont& font, std::string_view comment);

/// The font of such a text. Errors: syntax = no such text, of another version, or cut short (`at` is the byte);
/// range = it lacks symbols that the sheet draws (named).
[[nodiscard]] Result<MusicFont> read_outlines(std::string_view text);

}  // namespace fretloom::sheet
