#pragma once
// Reads the music font from a font file (OTF, WOFF or WOFF2) through FreeType. Only make_outlines, which the build
// runs, does this: programs read what it writes (font_file.h).

#include <string>

#include "base/result.h"
#include "sheet/music_font.h"

namespace fretloom::draw {

/// The symbols of sheet::symbol_rows() as outlines in staff spaces: the font's, and those that we draw ourselves.
/// Errors: io = no such file or no font FreeType reads (repair names the npm package); range = the
/// font lacks symbols (named).
[[nodiscard]] Result<sheet::MusicFont> read_open_type(const std::string& path);

}  // namespace fretloom::draw
