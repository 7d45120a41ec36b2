#pragma once
// Modes and keys: which notes a lesson's scale has, spelled.

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "theory/pitch.h"

namespace fretloom {

/// One row of the mode table. Degrees are given against the major scale ("1 2 b3 4 5 6 b7"). The vamp
/// is the mode's own two bars as degree and chord quality ("1 m7 | 4 7"), common practice, no source.
struct Mode {
  std::string_view name;
  std::string_view aliases;  ///< other trade names, separated by commas
  std::string_view degrees;
  std::string_view vamp;
};

[[nodiscard]] std::span<const Mode> modes();

/// A tonic and its scale. A *step* numbers the notes of the scale over all octaves: step 0 is the
/// tonic whose letter lies in octave 0, step size() the tonic an octave above, -1 the note below.
class Key {
 public:
  /// C ionian.
  Key();
  /// Precondition: degrees start at 1, ascend in pitch and span less than an octave. `said` is the mode's name as
  /// the teacher gave it; empty = the mode's own.
  Key(PitchClass tonic, std::string mode, std::vector<Degree> degrees, std::string said = "");

  [[nodiscard]] PitchClass tonic() const { return tonic_; }
  /// "dorian"; for a scale given by degrees that is no known mode, the degrees: "1 2 b3 5".
  [[nodiscard]] const std::string& mode() const { return mode_; }
  /// "E dorian".
  [[nodiscard]] std::string name() const { return tonic_.name() + " " + mode_; }
  /// The mode's name as the teacher gave it: "minor" for aeolian.
  [[nodiscard]] const std::string& said_mode() const { return said_; }
  /// The key for readers: "A minor".
  [[nodiscard]] std::string said_name() const { return tonic_.name() + " " + said_; }
  /// This key on another tonic.
  [[nodiscard]] Key on(PitchClass tonic) const { return {tonic, mode_, degrees_, said_}; }
  [[nodiscard]] const std::vector<Degree>& degrees() const { return degrees_; }
  /// Notes in an octave.
  [[nodiscard]] int size() const { return static_cast<int>(degrees_.size()); }

  [[nodiscard]] const Degree& degree(int step) const;
  [[nodiscard]] SpelledPitch pitch(int step) const;
  [[nodiscard]] int midi(int step) const;
  /// The step of the lowest scale note at or above a MIDI note.
  [[nodiscard]] int step_at_or_above(int midi) const;
  /// True if the MIDI note is in the scale; then step_at_or_above gives its step.
  [[nodiscard]] bool contains(int midi) const;

  /// The same notes by the same names; what the teacher calls the mode does not matter.
  friend bool operator==(const Key& a, const Key& b) {
    return a.tonic_ == b.tonic_ && a.mode_ == b.mode_ && a.degrees_ == b.degrees_;
  }

 private:
  PitchClass tonic_;
  std::string mode_;
  std::string said_;
  std::vector<Degree> degrees_;
  std::vector<int> offsets_;          ///< semitones above the tonic
  std::vector<PitchClass> spelling_;  ///< note name of each degree
  int tonic_midi_ = 0;                ///< MIDI note of step 0
};

/// Reads "E dorian": tonic, then a mode's name or alias, case ignored. A bare tonic is ionian.
/// Error: unknown tonic or mode, with the nearest name as repair.
[[nodiscard]] Result<Key> parse_key(std::string_view text);

/// A scale given by degree names. Legal: 2 to 12 degrees, the first "1", numbers 1 to 7, each higher
/// than the one before and below the octave. A scale equal to a mode takes the mode's name.
/// Error.at is the index of the first degree at fault.
[[nodiscard]] Result<Key> make_key(PitchClass tonic, std::span<const std::string> degree_names);

/// The mode row of a key, or nullptr for a scale that is no known mode.
[[nodiscard]] const Mode* find_mode(std::string_view name_or_alias);

/// Signature in fifths, -7 to 7 (sharps positive). harmonic and melodic minor take their minor key's;
/// every other scale the one under which the fewest of its notes need accidentals, of equals the one
/// nearest the parallel major (major third in the scale) or minor key; so a mode of the major scale
/// takes its relative major's. Common practice, no source.
[[nodiscard]] int key_signature(const Key& key);

/// The signature of a note's major key in fifths, also where none is written: G# is 8. Its minor key has three less.
[[nodiscard]] int major_signature(PitchClass tonic);

/// Alteration that a signature of `fifths` gives a letter (0 = C).
[[nodiscard]] int signature_alter(int fifths, int letter);

}  // namespace fretloom
