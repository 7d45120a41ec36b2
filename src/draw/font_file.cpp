#include "draw/font_file.h"

#include "files/files.h"
#include "sheet/outlines.h"

namespace fretloom::draw {

Result<sheet::MusicFont> load_music_font(const std::filesystem::path& path) {
  const auto bytes = read_file(path, k_max_music_font_bytes);
  if (!bytes) return bytes.error();
  auto font = sheet::read_outlines(*bytes);
  if (font) return font;
  Error error = font.error();
  error.what = path.string() + ": " + error.what;
  return error;
}

}  // namespace fretloom::draw
