#pragma once
// The music font that the engine carries.

#include "sheet/music_font.h"

namespace fretloom::engine {

/// Unpacked from the bytes that the build made of the font file.
[[nodiscard]] sheet::MusicFont embedded_font();

}  // namespace fretloom::engine
