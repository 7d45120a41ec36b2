#include "cli/music_font.h"

#include <cstdlib>
#include <filesystem>

#include "draw/font_file.h"

namespace fretloom {

namespace {

std::filesystem::path data_folder() {
  if (const char* named = std::getenv("FRETLOOM_DATA"); named != nullptr && *named != '\0') return named;
  std::error_code error;
  const auto program = std::filesystem::read_symlink("/proc/self/exe", error);
  return program.parent_path().parent_path() / "share" / "fretloom";
}

}  // namespace

std::filesystem::path music_font_file() { return data_folder() / draw::k_music_font_file; }

Result<sheet::MusicFont> load_font() {
  auto font = draw::load_music_font(music_font_file());
  if (font) return font;
  Error error = font.error();
  error.repair =
      "install Fretloom anew, or let FRETLOOM_DATA name the folder that holds " + std::string(draw::k_music_font_file);
  return error;
}

}  // namespace fretloom
