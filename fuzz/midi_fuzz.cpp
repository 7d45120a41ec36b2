// The MIDI reader on any bytes: it reads or refuses at a place in the file, and what it read is written
// and read back as the same; notes of its phrases that have places lie on a string. An input that starts with "#" is a
// seed: hexadecimal bytes, with comments from "#" to the end of the line.

#include <cstdint>
#include <cstdlib>
#include <string>

#include "exchange/midi.h"
#include "exchange/read_midi_phrases.h"

namespace {

void require(bool truth) {
  if (!truth) std::abort();
}

int digit(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'A' && c <= 'F') return c - 'A' + 10;
  return -1;
}

std::string from_hex(std::string_view text) {
  std::string bytes;
  int high = -1;
  bool in_comment = false;
  for (const char c : text) {
    in_comment = c == '#' || (in_comment && c != '\n');
    const int value = in_comment ? -1 : digit(c);
    if (value < 0) continue;
    if (high >= 0) bytes += static_cast<char>(high * 16 + value);
    high = high < 0 ? value : -1;
  }
  return bytes;
}

void check(std::string_view bytes) {
  const auto file = fretloom::read_midi(bytes);
  if (!file) {
    require(file.error().at <= bytes.size() && !file.error().what.empty());
    return;
  }
  const auto again = fretloom::read_midi(fretloom::write_midi(*file));
  require(again.ok() && *again == *file);
  const fretloom::MidiMusic music = fretloom::midi_notes(*file);
  double before = 0;
  for (const fretloom::MidiNote& note : music.notes) {
    require(note.length >= 0);
    const double seconds = music.seconds_at(note.tick).value;
    require(seconds >= before);
    before = seconds;
    if (music.tempos.size() > 1000) break;  // every look-up walks the tempo map
  }
  const auto phrases = fretloom::read_midi_phrases(*file);
  if (!phrases) return require(!phrases.error().what.empty());
  for (const fretloom::GivenPhrase& phrase : *phrases) {
    for (const fretloom::GivenNote& note : phrase.notes)
      require(!note.at || (note.at->string <= phrase.tuning.value().strings() && note.at->fret >= 0));
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  if (!bytes.empty() && bytes.front() == '#') {
    check(from_hex(bytes));
  } else {
    check(bytes);
  }
  return 0;
}
