#pragma once

#include "base/result.h"
#include "sheet/music_font.h"

namespace fretloom {

/// The music font beside the program or in a folder above it, where set-up puts it.
Result<sheet::MusicFont> load_font();

}  // namespace fretloom
