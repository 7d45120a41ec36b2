#pragma once
// Which notes of a chord sound, and where.

#include <vector>

#include "theory/chord.h"

namespace fretloom {

/// MIDI notes, both ends included.
struct PitchRange {
  int low = 0;
  int high = 127;

  [[nodiscard]] bool contains(int midi) const { return low <= midi && midi <= high; }
  [[nodiscard]] int size() const { return high - low + 1; }
  friend bool operator==(const PitchRange&, const PitchRange&) = default;
};

/// A sounding chord tone.
struct VoicedTone {
  int midi = 60;
  Degree degree;  ///< above the chord's root

  friend bool operator==(const VoicedTone&, const VoicedTone&) = default;
};

/// The tones that at most `count` (3 or 4) voices take, most needed first: third and seventh (the guide tones; a sus
/// note, a 6th in their stead), an altered fifth, altered or highest extensions, the rest, a perfect fifth, and last
/// the root, which the bass has. A chord of three tones has them all. Fewer than three tones (a fifth alone) are all
/// there is. Common practice, no source.
[[nodiscard]] std::vector<Degree> chosen_tones(const Chord& chord, int count);

/// The voicing of the chosen tones in `range` that follows `before` (ascending; empty for the first, which then lies
/// about the middle). Ascending, no pitch twice. A tone that `before` has stays where it is; the rest move the least.
/// Of equal ones the nearest to the middle, then the lowest. Two tones are made three by the lower one's octave where
/// the range has it. Seconds lie above A3 (57) only, a semitone is never on top, neighbours are at most a sixth (9)
/// apart and all voices within a tenth (16), each where another voicing is possible. Empty only where the range lacks a
/// tone; twelve notes have them all.
[[nodiscard]] std::vector<VoicedTone> voice_chord(const Chord& chord, int count, const PitchRange& range,
                                                  const std::vector<VoicedTone>& before);

}  // namespace fretloom
