#pragma once
// Scene -> SVG of few elements, for a page that is drawn anew at every keystroke. Standard library only.

#include <string>
#include <vector>

#include "sheet/music_font.h"
#include "sheet/scene.h"

namespace fretloom::sheet {

/// One `<svg>` for each row of a page, from top to bottom without a gap, so that a page sets them one below the other
/// and replaces only those whose text is another. `rows` part the page: the border between two rows lies halfway; a
/// row's text says nothing of where it stands. Without rows the page is one. Lengths are pixels of a screen.
///
/// Everything of one tone is one path where the order of painting allows it (shapes, and outlines by their width), and
/// all digits of one size are one `<text>`; words have one each. What an element is, its notes and its names stand
/// beside the drawing, not in it. Every element has its tone as class ("tone-ink") and is painted in currentColor,
/// which the page's style sheet sets; numbers of frets have the class "fret" as well; no style attribute, no id, no
/// outside reference.
[[nodiscard]] std::vector<std::string> write_living_rows(const ScenePage& page, const std::vector<Box>& rows,
                                                         Millimetres staff_space, const MusicFont& font);

}  // namespace fretloom::sheet
