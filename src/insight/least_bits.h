#pragma once
// A bound for the search: what a period on a scale costs at the least, on whatever layout.

#include "insight/cycle.h"
#include "insight/scale_view.h"
#include "insight/shortlist.h"

namespace fretloom {

struct LeastBits {
  double bits = 0;
  Tells tells = Tells::all;  ///< not_all: some notes cannot follow
};

/// Without a layout: notes of one string and their repetitions a period later rise by one number of scale steps from
/// this string to that, whatever the layout is. Of two that do not, one is a slip, or all of the rule's note is altered
/// by a semitone; and what lies at the end may be an ending. Holds as far as most pairs tell the carry, as in the
/// search itself. `most`: of bits that do not tell all, more of which are of no interest.
[[nodiscard]] LeastBits least_bits(const ScaleView& view, const Cycle& cycle, double most);

/// The same before any note is compared: scale, rhythm, and what does not fit the period on any scale.
[[nodiscard]] double least_bits_of_rhythm(const ScaleView& view, const Cycle& cycle);

}  // namespace fretloom
