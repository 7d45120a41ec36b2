#pragma once
// The least repair of blocked string changes: slurs added to tokens of the rule, so that it can be
// saved, for the whole idea with its return.
//
// alternate and economy: the stroke before a change is its anchor's (the first note, or in economy the
// last adjacent change) flipped once for each picked note since, so each blocked-or-free condition is
// linear over GF(2) in "token j is slurred". Tokens with equal columns are interchangeable, and the
// lightest solution of the system is found exactly. grid: strokes are fixed by the units, so a change
// is freed only by slurring the notes before it; the least closure is unique.

#include <optional>

#include "hand/strokes.h"
#include "score/proof.h"

namespace fretloom {

/// Nothing if no change is blocked. Least slurs over both first strokes; of equals the first stroke
/// stays, then the slurs come earliest. Neighbours on one fret cannot slur, in any repetition.
[[nodiscard]] std::optional<Repair> repair(const Rule& rule, const Phrase& phrase, Picking picking, Stroke first,
                                           Clear clear);

}  // namespace fretloom
