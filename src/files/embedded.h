#pragma once

#include <string_view>

namespace fretloom {

/// A file that the build put into the program (cmake/embed.cmake).
struct EmbeddedFile {
  std::string_view name;   ///< as it is asked for: "studio.js"
  std::string_view bytes;  ///< as long as the program runs
};

}  // namespace fretloom
