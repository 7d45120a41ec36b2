#pragma once
// Syllables to count a rhythm with.

#include <string>

#include "score/meter.h"

namespace fretloom::sheet {

/// What is said on a place of a bar that is divided into k notes a beat: the beat's number where a beat begins, else
///
///     k   simple beat                            compound beat
///     2   &                                      &
///     3   trip let                               & a
///     4   e & a                                  e & a
///     6   trip let & trip let                    ta & ta a ta
///     8   ta e ta & ta a ta
///
/// (common practice, no source). Fives, sevens and other numbers have no common syllables: the beat's number, then two,
/// three and so on to k, as groups are counted in ensembles (ours). Empty for a place that is no k-th of a beat.
[[nodiscard]] std::string counting_syllable(const Meter& meter, int notes_per_beat, const Beats& onset);

}  // namespace fretloom::sheet
