#pragma once

#include <filesystem>

#include "base/result.h"
#include "sheet/music_font.h"

namespace fretloom {

/// The music font of the program's data folder: $FRETLOOM_DATA where that is set, else ../share/fretloom beside the
/// folder that the program lies in, which holds for an installed program and for one in the build tree. Errors as
/// draw::load_music_font.
Result<sheet::MusicFont> load_font();

/// Where load_font looks for it.
std::filesystem::path music_font_file();

}  // namespace fretloom
