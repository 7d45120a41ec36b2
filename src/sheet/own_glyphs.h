#pragma once
// The symbols that we draw ourselves: the numerals of time signatures, tuplets and fingers, and the tab clef. They give
// the page a face of its own; all other symbols are the music font's.

#include "sheet/music_font.h"

namespace fretloom::sheet {

/// True for the symbols of own_glyph. The music font is not asked for them.
[[nodiscard]] bool is_own(Symbol symbol);

/// The outline of one of ours, origin and sizes as SMuFL has them: numerals of a time signature two staff spaces high
/// about the middle, of a tuplet one and a half on the baseline and slanting, of a finger one on the baseline; the tab
/// clef's three letters about the middle. Several contours may overlap: they are filled by the nonzero rule, all
/// turning the same way. No steps for a symbol that is not ours.
[[nodiscard]] GlyphOutline own_glyph(Symbol symbol);

}  // namespace fretloom::sheet
