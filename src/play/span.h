#pragma once
// A part of an idea, to be played round and round.

#include "base/result.h"
#include "score/meter.h"
#include "score/score.h"

namespace fretloom {

/// Notes `first` to `last` of a score (from 0, both inclusive), moved by whole bars so that the first of them lies in
/// bar 1. A slur on the first is picked, with the stroke that it would hang on. No ending. Error (range): no such
/// notes.
[[nodiscard]] Result<Score> span_of(const Score& score, const Meter& meter, int first, int last);

}  // namespace fretloom
