#include "lick/feel.h"

#include <numeric>

namespace fretloom {

Realignment realign(std::int64_t rule_units, std::int64_t span_units) {
  const std::int64_t notes = std::lcm(rule_units, span_units);
  return {notes, notes / rule_units, notes / span_units};
}

Beats unit_onset(const Beats& start, int unit, int notes_per_beat) {
  return Beats(start.value + Rational(unit, notes_per_beat));
}

Rational notes_per_second(const Rational& bpm, int notes_per_beat) { return bpm * Rational(notes_per_beat, 60); }

}  // namespace fretloom
