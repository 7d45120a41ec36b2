#pragma once
// Spelled pitch: a letter, its alteration and an octave, so that C# and Db stay different.

#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"
#include "base/units.h"

namespace fretloom {

/// A note name without octave. letter: 0 = C to 6 = B. alter: semitones, -1 = flat, +1 = sharp; any
/// count may arise (E## in B# ionian), readers accept -2 to 2.
struct PitchClass {
  int letter = 0;
  int alter = 0;

  /// Semitones above C, not reduced: Cb is -1, B# is 12.
  [[nodiscard]] int semitones() const;
  /// "C#", "Bbb".
  [[nodiscard]] std::string name() const;

  friend bool operator==(const PitchClass&, const PitchClass&) = default;
};

/// A pitch in scientific octave notation; the octave number belongs to the letter, so B#3 sounds as
/// C4 (MIDI 60) and Cb4 as B3 (MIDI 59).
struct SpelledPitch {
  PitchClass pitch_class;
  int octave = 4;

  /// MIDI note number; 69 = A4 = 440 Hz (ISO 16:1975).
  [[nodiscard]] int midi() const { return 12 * (octave + 1) + pitch_class.semitones(); }
  /// "C#4".
  [[nodiscard]] std::string name() const { return pitch_class.name() + std::to_string(octave); }
  /// Letter steps above C0, for staff positions: C4 is 28, D4 29.
  [[nodiscard]] int diatonic() const { return 7 * octave + pitch_class.letter; }

  friend bool operator==(const SpelledPitch&, const SpelledPitch&) = default;
};

/// Frequency in twelve-tone equal temperament at A4 = 440 Hz (ISO 16:1975).
[[nodiscard]] Hertz frequency(int midi);

/// A note name or pitch in English letters that was written in German ones, for repairs: H is B, Fis is F#, Es is Eb,
/// H2 is B2 (common practice, no source). Empty where that does not make it one.
[[nodiscard]] std::string english_note(std::string_view text);
/// Reads a note name, case ignored: "e", "F#", "Bb", signs instead of # and b accepted.
[[nodiscard]] Result<PitchClass> parse_pitch_class(std::string_view text);
/// Reads a note name with octave: "E2", "bb-1".
[[nodiscard]] Result<SpelledPitch> parse_pitch(std::string_view text);
/// The spelling of a MIDI note with at most one sharp (for output where no key rules).
[[nodiscard]] SpelledPitch spell_sharp(int midi);

/// Degree of a scale or chord against the major scale: "b3" is {3, -1}. Numbers 1 to 13.
struct Degree {
  int number = 1;
  int alter = 0;

  /// Semitones above the root; 9 to 13 lie in the second octave.
  [[nodiscard]] int semitones() const;
  /// "b3", "1", "#11", "bb7".
  [[nodiscard]] std::string name() const;
  /// The note this far above `root`, spelled by letters.
  [[nodiscard]] PitchClass above(PitchClass root) const;

  friend bool operator==(const Degree&, const Degree&) = default;
};

/// Reads "b3", "#11", "5"; accidentals before the number, up to two. Number 1 to 13.
[[nodiscard]] std::optional<Degree> parse_degree(std::string_view text);

/// "", "#", "bb", ... for -n to n.
[[nodiscard]] std::string accidentals(int alter);

}  // namespace fretloom
