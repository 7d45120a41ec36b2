#include "cli/music_font.h"

#include <filesystem>

#include "draw/font_file.h"

namespace fretloom {

Result<sheet::MusicFont> load_font() {
  std::error_code error;
  std::filesystem::path folder = std::filesystem::read_symlink("/proc/self/exe", error).parent_path();
  auto font = draw::find_music_font(folder.string());
  while (!font && folder.has_relative_path()) {
    folder = folder.parent_path();
    auto next = draw::find_music_font(folder.string());
    if (next) return next;
  }
  return font;
}

}  // namespace fretloom
