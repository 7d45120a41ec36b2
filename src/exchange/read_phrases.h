#pragma once
// The phrases of a file, whatever kind it is of.

#include <string_view>
#include <vector>

#include "base/result.h"
#include "exchange/given_phrase.h"

namespace fretloom {

/// MIDI by its first bytes, MusicXML by its first "<", a note list by its first word, else plain-text tab. Errors: the
/// reader's; syntax for a zip archive (see open_mxl) and for text with a NUL byte.
[[nodiscard]] Result<std::vector<GivenPhrase>> read_phrases(std::string_view bytes);

}  // namespace fretloom
