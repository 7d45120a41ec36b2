#pragma once
// Scene -> SVG 1.1 / SVG 2 text. Standard library only.

#include <string>

#include "sheet/music_font.h"
#include "sheet/scene.h"

namespace fretloom::sheet {

struct SvgOptions {
  int page = -1;            ///< from 0; -1 = all pages, one below the other
  std::string id_prefix;    ///< before every id, so that several drawings share one web page: [A-Za-z][A-Za-z0-9-]*
  bool note_labels = true;  ///< an aria-label with pitch, string, fret and stroke on every note
};

/// Outlines as <path> in <defs>, placed through <use>; every note is one group with an id ("i1f1n3") and
/// the class "note", every element inside has the class of its mark; every place of a neck is a group with its string
/// and fret (data-string, data-fret). Only presentation attributes, no style, no script, no outside reference. All
/// paint is currentColor, so that a dark page can recolour it; another tone than ink has its name as class and its grey
/// as `color`, which any rule of the page's own overrides. Millimetres on paper, pixels on a screen. Text asks for the
/// PDF's font and takes any serif, set to its laid-out length so that it keeps its place.
[[nodiscard]] std::string write_svg(const Scene& scene, const MusicFont& font, const SvgOptions& options = {});

}  // namespace fretloom::sheet
