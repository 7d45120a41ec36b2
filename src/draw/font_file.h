#pragma once
// The file of the music font's outlines, which the build makes (make_outlines.cpp, sheet/outlines.h).

#include <filesystem>

#include "base/result.h"
#include "sheet/music_font.h"

namespace fretloom::draw {

inline constexpr const char* k_music_font_file = "music-font.outlines";
inline constexpr std::size_t k_max_music_font_bytes = 16U << 20U;

/// The symbols of sheet::symbol_rows() as outlines in staff spaces. Errors name the file: io = it cannot be read;
/// limit = it is larger than k_max_music_font_bytes; syntax = it holds no outlines of our version, or only a part;
/// range = it lacks symbols (named).
[[nodiscard]] Result<sheet::MusicFont> load_music_font(const std::filesystem::path& path);

}  // namespace fretloom::draw
