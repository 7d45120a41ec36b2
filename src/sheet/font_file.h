#pragma once
// Loads the music font from a file (OTF, WOFF or WOFF2) through FreeType. The only file-reading part
// of layout's inputs.

#include <string>
#include <vector>

#include "base/result.h"
#include "sheet/music_font.h"
#include "sheet/options.h"

namespace fretloom::sheet {

/// Where the music font may lie, best first: below `root` (the project's or the installation's
/// folder) node_modules/@fontsource/bravura-text/files and share/fretloom/fonts.
[[nodiscard]] std::vector<std::string> music_font_candidates(const std::string& root);

/// The symbols of symbol_rows() as outlines in staff spaces.
/// Errors: io = no such file or no font FreeType reads (repair names the npm package); range = the
/// font lacks symbols (named).
[[nodiscard]] Result<MusicFont> load_music_font(const std::string& path);

/// A PNG file for the head of the handout. Errors: io = cannot be read; syntax = no PNG; limit =
/// larger than 8 MB.
[[nodiscard]] Result<Logo> load_logo(const std::string& path);

/// The first candidate that loads; else the first error.
[[nodiscard]] Result<MusicFont> find_music_font(const std::string& root);

}  // namespace fretloom::sheet
