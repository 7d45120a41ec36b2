#pragma once
// Loads the music font from a file (OTF, WOFF or WOFF2) through FreeType.

#include <string>
#include <vector>

#include "base/result.h"
#include "sheet/music_font.h"

namespace fretloom::draw {

/// Where the music font may lie, best first: below `root` (the project's or the installation's
/// folder) node_modules/@fontsource/bravura-text/files and share/fretloom/fonts.
[[nodiscard]] std::vector<std::string> music_font_candidates(const std::string& root);

/// The symbols of sheet::symbol_rows() as outlines in staff spaces.
/// Errors: io = no such file or no font FreeType reads (repair names the npm package); range = the
/// font lacks symbols (named).
[[nodiscard]] Result<sheet::MusicFont> load_music_font(const std::string& path);

/// The first candidate that loads; else the first error.
[[nodiscard]] Result<sheet::MusicFont> find_music_font(const std::string& root);

}  // namespace fretloom::draw
