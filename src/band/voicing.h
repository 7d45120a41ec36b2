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

/// Ascending, no pitch twice.
using Voicing = std::vector<VoicedTone>;

/// The tones that at most `count` (3 or 4) voices take, most needed first: third and seventh (the guide tones; a sus
/// note, a 6th in their stead), an altered fifth, altered or highest extensions, the rest, a perfect fifth, and last
/// the root, which the bass has. A chord of three tones has them all. Fewer than three tones (a fifth alone) are all
/// there is. Common practice, no source.
[[nodiscard]] std::vector<Degree> chosen_tones(const Chord& chord, int count);

/// The voicings of chords that go round: of all ways in which no tone that two neighbours share changes its octave,
/// the last and the first chord included, the one with the fewest faults, then the least movement, then the nearest to
/// the range's middle. Two tones are made three by the lower one's octave where the range has it. Faults are seconds
/// below A3 (57), a semitone on top, neighbours more than a sixth (9) apart and voices more than a tenth (16).
/// Preconditions: at least one chord; twelve notes in the range. Time grows with the chords and at most 2^12 for each.
[[nodiscard]] std::vector<Voicing> lead_voices(const std::vector<const Chord*>& cycle, int count,
                                               const PitchRange& range);

}  // namespace fretloom
