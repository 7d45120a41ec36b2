#pragma once
// How a note sits on a chord.

#include <string>

#include "theory/chord.h"
#include "theory/scale.h"

namespace fretloom {

/// chord_tone: in the chord, the bass after a slash included, since it sounds with it. tension: a scale note that is
/// none. avoid: a scale note that is none and lies a semitone above a chord tone, the b9 of a dominant chord excepted.
/// outside: neither in the scale nor in the chord. (Common practice, no source.)
enum class HarmonicRole { chord_tone, tension, avoid, outside };

struct Harmony {
  HarmonicRole role = HarmonicRole::tension;
  /// Against the chord's root: the chord tone ("b3"), else the note's own spelling ("b9" is named 2, "11" 4).
  std::string degree;
};

[[nodiscard]] Harmony harmony(const Key& key, const Chord& chord, const SpelledPitch& pitch);

/// "root", "3rd", "5th", "7th" for the chord's basic tones; an unaltered other one as "6th" or "9th", else its name.
[[nodiscard]] std::string chord_tone_word(const Degree& degree);

/// The rank of a note that a phrase does not rest on.
constexpr int k_no_rest = 4;

/// Chord tones in order of rest: root 0, 5th 1, 3rd 2, 7th 3, any other note k_no_rest. The 6th of a 6 chord counts
/// as a 7th; the 2 or 4 of a sus chord, which has no third, as a 3rd. A ninth, eleventh or thirteenth is none of
/// them, nor is the bass after a slash unless it is the root, 5th, 3rd or 7th itself.
[[nodiscard]] int rest_rank(const Chord& chord, int midi);

}  // namespace fretloom
