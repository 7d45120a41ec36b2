#pragma once
// Where bass and rhythm guitar play their notes.

#include <optional>
#include <vector>

namespace fretloom {

struct FingerPlace {
  int string = 0;  ///< 0 = thickest
  int fret = 0;

  friend bool operator==(const FingerPlace&, const FingerPlace&) = default;
};

/// One note on an instrument with these open strings (MIDI, ascending), near fret `hand`, low on the neck where two
/// places are as near; nothing where no string has it within 24 frets.
[[nodiscard]] std::optional<FingerPlace> place_note(const std::vector<int>& open, int midi, int hand);

/// A chord: each note on a string of its own, low notes on thick strings, within as few frets as can be, then near
/// `hand`; empty where that cannot be. `keys` ascending, without doubles.
[[nodiscard]] std::vector<FingerPlace> place_chord(const std::vector<int>& open, const std::vector<int>& keys,
                                                   int hand);

}  // namespace fretloom
