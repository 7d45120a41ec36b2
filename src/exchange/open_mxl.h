#pragma once
// The compressed container of MusicXML (.mxl), opened.

#include <string>
#include <string_view>

#include "base/result.h"

namespace fretloom {

/// True if the bytes begin as a zip archive does.
[[nodiscard]] bool looks_like_zip(std::string_view bytes);

/// The document that META-INF/container.xml names first, else the first .musicxml or .xml outside META-INF. Errors:
/// those of unzip (a zip bomb is told by its list of files, before it is unpacked); syntax = no document in it.
[[nodiscard]] Result<std::string> open_mxl(std::string_view bytes);

}  // namespace fretloom
