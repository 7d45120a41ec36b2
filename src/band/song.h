#pragma once
// What every player of the band has before them.

#include <vector>

#include "band/play_vamp.h"
#include "band/rhythm_table.h"

namespace fretloom {

/// A chord as long as it sounds on end: repeated bars are one span.
struct ChordSpan {
  const Chord* chord = nullptr;
  Rational from;
  Rational to;
  bool is_change = true;  ///< another chord sounds before it; false only at the start of a loop that ends on this chord
};

struct Song {
  const Vamp& vamp;
  const Meter& meter;
  const Key& key;
  const Pattern& pattern;
  const BandOptions& options;
  std::vector<ChordSpan> spans;  ///< in order, filling the loop
  int turns = 1;
  int bars = 1;
  Rational length;  ///< of the loop in beats

  [[nodiscard]] std::size_t span_at(const Rational& beat) const;
  /// Time of a pulse of four steps.
  [[nodiscard]] Rational pulse_beats() const { return pattern.plan().pulses.front().step * Rational(4); }
  /// Whether a letter of a lane is played at the song's intensity.
  [[nodiscard]] bool plays(char letter) const;
  /// All hits of a lane that are played, in order.
  [[nodiscard]] std::vector<Hit> hits(std::string_view Lanes::*lane) const;
  /// A place as it sounds: swung, but for patterns that divide in three (score/swing.h).
  [[nodiscard]] Beats sounding(const Rational& straight) const;
  /// `base` and a little more or less, 1 to 127; `place` numbers the part's notes.
  [[nodiscard]] int velocity(int base, BandRole role, std::size_t place) const;
};

[[nodiscard]] BandPart play_bass(const Song& song, const PitchRange& range);
/// Guitar or keys, by the song's table. Empty where the pattern has no chords.
[[nodiscard]] BandPart play_chords(const Song& song, const PitchRange& range);
/// The key's root with its fifth, or its octave where the key has no fifth, taken anew each turn. Empty where the range
/// has no room for them.
[[nodiscard]] BandPart play_drone(const Song& song, const PitchRange& range);
[[nodiscard]] BandPart play_drums(const Song& song);

/// First bars of the phrases that the loop falls into, in order; each ends in a fill. None for fewer than four bars.
[[nodiscard]] std::vector<int> phrase_starts(int bars);

}  // namespace fretloom
