// The MusicXML reader on any document: read and explained, or refused.

#include <cstdint>
#include <string_view>

#include "exchange/read_musicxml.h"
#include "explained.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace fretloom;
  if (size > 1U << 15U) return 0;
  const auto phrases = read_musicxml({reinterpret_cast<const char*>(data), size});
  if (phrases) {
    fuzz::explain_all(*phrases, 8);
  } else {
    fuzz::require(!phrases.error().what.empty());  // a place counts converted bytes where the text was UTF-16
  }
  return 0;
}
