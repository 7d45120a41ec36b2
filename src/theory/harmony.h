#pragma once
// How a note sits on a chord.

#include <string>

#include "theory/chord.h"
#include "theory/scale.h"

namespace fretloom {

/// chord_tone: in the chord. tension: a scale note that is none. avoid: a scale note that is none and
/// lies a semitone above a chord tone, the b9 of a dominant chord excepted. outside: neither in the
/// scale nor in the chord. (Common practice, no source.)
enum class HarmonicRole { chord_tone, tension, avoid, outside };

struct Harmony {
  HarmonicRole role = HarmonicRole::tension;
  /// Against the chord's root: the chord tone ("b3"), else the note's own spelling ("b9" is named 2, "11" 4).
  std::string degree;
};

[[nodiscard]] Harmony harmony(const Key& key, const Chord& chord, const SpelledPitch& pitch);

/// "root", "3rd", "5th", "7th" for the chord's basic tones, else the degree's name.
[[nodiscard]] std::string chord_tone_word(const Degree& degree);

/// Chord tones in order of rest: root 0, 5th 1, 3rd 2, 7th 3, any other note 4.
[[nodiscard]] int rest_rank(const Chord& chord, int midi);

}  // namespace fretloom
