#pragma once
// A feel: how many notes fill a beat, and where the rule meets beat, bar and vamp again.

#include <cstdint>

#include "base/units.h"
#include "score/meter.h"

namespace fretloom {

/// After how many units a rule starts on the same place again.
struct Realignment {
  std::int64_t notes = 0;   ///< units
  std::int64_t groups = 0;  ///< repetitions of the rule
  std::int64_t spans = 0;   ///< beats, bars or vamps
};

/// lcm(rule_units, span_units) in units, repetitions and spans. Preconditions: both > 0.
/// Five notes against four a beat: 20 notes, 4 groups, 5 beats.
[[nodiscard]] Realignment realign(std::int64_t rule_units, std::int64_t span_units);

/// Onset of a unit: start + unit / k beats, exact.
[[nodiscard]] Beats unit_onset(const Beats& start, int unit, int notes_per_beat);

/// bpm x notes per beat / 60.
[[nodiscard]] Rational notes_per_second(const Rational& bpm, int notes_per_beat);

}  // namespace fretloom
