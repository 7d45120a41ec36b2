// Lines put into the outlines of a small font: they are refused at a place in the text, or what they give is written
// and read back as the same.

#include <cstdint>
#include <string>

#include "sheet/outlines.h"

namespace {

using namespace fretloom::sheet;

/// Every symbol as one point, without the last line.
std::string small_font() {
  MusicFont font;
  for (const SymbolRow& row : symbol_rows())
    font.set(row.symbol, {{{OutlineStep::Kind::move, {}, {}, {}}}, {0, 0, 1, 1}, 1});
  const std::string text = write_outlines(font, "");
  return text.substr(0, text.rfind("end\n"));
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static const std::string head = small_font();
  const std::string text = head + std::string(reinterpret_cast<const char*>(data), size) + "\nend\n";
  const auto font = read_outlines(text);
  if (!font) {
    if (font.error().at < head.size() && font.error().kind == fretloom::ErrorKind::syntax) __builtin_trap();
    return 0;
  }
  const std::string once = write_outlines(*font, "");
  const auto again = read_outlines(once);
  if (!again || write_outlines(*again, "") != once) __builtin_trap();
  return 0;
}
