// Text tab and note lists: whatever comes is read or refused at a place in it, and what is read is explained.

#include <cstdint>
#include <string_view>

#include "exchange/read_phrases.h"
#include "explained.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace fretloom;
  if (size > 1U << 13U) return 0;
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto phrases = read_phrases(text);
  if (phrases) {
    fuzz::explain_all(*phrases, 8);
  } else {
    fuzz::require(phrases.error().at <= size && !phrases.error().what.empty());
  }
  return 0;
}
