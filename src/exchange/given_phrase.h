#pragma once
// A phrase that somebody gives us, as far as its file tells: every reader of notes makes these.

#include <optional>
#include <string>
#include <vector>

#include "base/diagnostics.h"
#include "neck/tuning.h"
#include "score/meter.h"
#include "score/stroke.h"

namespace fretloom {

/// Notes of one phrase that are taken; a longer one is refused.
constexpr std::size_t k_max_given_notes = 2048;
/// Phrases of one file that are taken.
constexpr std::size_t k_max_given_phrases = 512;

/// A place on the neck; the fret counts from the capo.
struct StringFret {
  int string = 1;  ///< 1 = thinnest
  int fret = 0;

  friend bool operator==(const StringFret&, const StringFret&) = default;
};

/// In beats from bar 1 beat 1, exact; negative in a pick-up.
struct GivenTime {
  Rational onset;
  Rational duration;  ///< > 0

  friend bool operator==(const GivenTime&, const GivenTime&) = default;
};

struct GivenNote {
  std::optional<StringFret> at;  ///< nothing where the file has only pitches
  std::optional<int> midi;       ///< sounding; at least one of `at` and `midi` is given
  std::optional<GivenTime> time;
  Attack attack = Attack::pick;  ///< a slur comes from the note before on the same string
  bool accent = false;

  friend bool operator==(const GivenNote&, const GivenNote&) = default;
};

/// One voice. All notes have a place or none has; all have a time or none has.
struct GivenPhrase {
  std::string name;  ///< what the file calls it, one line; may be empty
  Place place;       ///< where it begins in the file; 0 in a file of bytes
  std::vector<GivenNote> notes;
  std::optional<Tuning> tuning;  ///< thickest string first
  int capo = 0;
  std::optional<Meter> meter;
  std::optional<int> fifths;  ///< the key signature, sharps positive
  bool is_bass = false;       ///< the file names a bass
  int left_out = 0;           ///< notes that sounded together with another and were not taken

  [[nodiscard]] bool is_placed() const { return !notes.empty() && notes.front().at.has_value(); }
  [[nodiscard]] bool is_timed() const { return !notes.empty() && notes.front().time.has_value(); }
};

}  // namespace fretloom
