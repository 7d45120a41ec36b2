#pragma once
// A given phrase on a grid of equal units, on a neck: what the search for a rule works on.

#include <optional>
#include <vector>

#include "base/result.h"
#include "exchange/given_phrase.h"

namespace fretloom {

struct HeardNote {
  int string = 0;  ///< 0 where only the pitch is known
  int fret = 0;
  int midi = 0;
  int unit = 0;   ///< from the phrase's first note
  int units = 1;  ///< until it ends; silence up to the next note is a rest
  Attack attack = Attack::pick;
  bool accent = false;

  friend bool operator==(const HeardNote&, const HeardNote&) = default;
};

/// Whether a phrase's strings and frets are not known, are the file's, or were found by us.
enum class Places { unknown, given, found };

struct HeardPhrase {
  std::vector<HeardNote> notes;  ///< ascending units
  Neck neck;
  /// Units a beat; nothing where the time is not known or falls on no grid of 1 to 12 a beat: then every note
  /// lasts one unit.
  std::optional<int> notes_per_beat;
  Rational start_beat;  ///< of the first note
  Places places = Places::given;
};

/// How far an onset may lie off the grid, in units: a file that rounds to ticks is on it, a player is not.
constexpr double k_grid_tolerance = 0.08;

/// The phrase on its grid. Without a tuning in the phrase: `otherwise`, else the first of standard, seven-string,
/// eight-string, bass (a bass first where the file names one) that has its strings and pitches. Errors, range: a
/// string or fret that the neck does not have; pitches that no such tuning has.
[[nodiscard]] Result<HeardPhrase> hear(const GivenPhrase& given, const std::optional<Tuning>& otherwise = {});

}  // namespace fretloom
