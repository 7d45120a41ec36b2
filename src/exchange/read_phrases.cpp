#include "exchange/read_phrases.h"

#include <algorithm>

#include "base/text.h"
#include "exchange/midi.h"
#include "exchange/read_midi_phrases.h"
#include "exchange/read_musicxml.h"
#include "exchange/read_note_list.h"
#include "exchange/read_text_tab.h"

namespace fretloom {

Result<std::vector<GivenPhrase>> read_phrases(std::string_view bytes) {
  if (bytes.starts_with("MThd")) {
    const auto file = read_midi(bytes);
    if (!file) return file.error();
    return read_midi_phrases(*file);
  }
  constexpr std::string_view k_mark = "\xEF\xBB\xBF";
  std::string_view text = bytes;
  if (text.starts_with(k_mark)) text.remove_prefix(k_mark.size());
  const bool wide = text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF");  // UTF-16, which XML may be in
  if (wide || trim(text).starts_with('<')) {
    auto read = read_musicxml(bytes);
    if (read) return read;
    Error error = read.error();
    error.at = std::min(error.at, bytes.size());  // the parser counts in UTF-8, which may be longer
    return error;
  }
  if (const std::size_t nul = text.find('\0'); nul != std::string_view::npos)
    return Error{ErrorKind::syntax, nul, "this is neither MIDI nor MusicXML nor text", ""};
  if (text.size() <= k_max_tab_bytes && looks_like_note_list(text)) {
    auto list = read_note_list(text);
    if (!list) return list.error();
    return std::vector<GivenPhrase>{std::move(list).value()};
  }
  return read_text_tab(text);
}

}  // namespace fretloom
