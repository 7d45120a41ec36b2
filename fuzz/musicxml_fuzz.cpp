// The MusicXML reader on any document: read, or refused at a place in it.

#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "exchange/read_musicxml.h"
#include "insight/answer_json.h"

namespace {

void require(bool truth) {
  if (!truth) std::abort();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace fretloom;
  if (size > 1U << 15U) return 0;
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto phrases = read_musicxml(text);
  if (!phrases) {
    require(!phrases.error().what.empty());  // a place counts converted bytes where the text was UTF-16
    return 0;
  }
  for (const GivenPhrase& phrase : *phrases) {
    for (const GivenNote& note : phrase.notes) {
      require(note.at.has_value() == phrase.is_placed() && note.time.has_value() == phrase.is_timed());
      require(note.at || note.midi);
    }
    if (phrase.notes.size() > 12) continue;  // the reader is what is tested here
    const auto explanation = explain(phrase);
    if (!explanation) continue;
    require(explanation->answers.empty() == explanation->why_not.has_value());
    (void)explain_json({{1, phrase, *explanation}}, {});
  }
  return 0;
}
