#pragma once
// What MIDI has no events for, as text events on the track of the notes (Standard MIDI Files 1.0, FF 01). Their words
// are our own:
//
//   strings, thick to thin: E2 A2 D3 G3 B3 E4; capo 2     holds until the next such line
//   string 5                                              holds from this tick on
//   string 5, hammer-on, accent                           these two: the notes of this tick alone
//
// So the notes stay on one track and, where the writer wants it, on one channel, and any player plays them as before.
// A fret is what is left of a note above its open string, so that a note that is moved in a sequencer is read right.

#include <optional>
#include <string>
#include <string_view>

#include "neck/tuning.h"
#include "score/stroke.h"

namespace fretloom {

/// The instrument that the notes are played on.
struct MidiStrings {
  Tuning tuning;
  int capo = 0;

  friend bool operator==(const MidiStrings&, const MidiStrings&) = default;
};

/// What a text says of the notes at its tick.
struct MidiTouch {
  std::optional<int> string;  ///< nothing: as before
  Attack attack = Attack::pick;
  bool accent = false;

  friend bool operator==(const MidiTouch&, const MidiTouch&) = default;
};

[[nodiscard]] std::string to_text(const MidiStrings& strings);
/// Empty where nothing is to be said.
[[nodiscard]] std::string to_text(const MidiTouch& touch);

/// Nothing where the text is any other.
[[nodiscard]] std::optional<MidiStrings> read_midi_strings(std::string_view text);
/// Nothing where any part of the text is another.
[[nodiscard]] std::optional<MidiTouch> read_midi_touch(std::string_view text);

}  // namespace fretloom
