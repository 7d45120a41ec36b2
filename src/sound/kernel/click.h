#pragma once
// The click: a short dry knock, higher and louder the more it weighs.

#include <stdint.h>

namespace fretloom::voice {

enum class Knock : int32_t { bar, beat, subdivision };

constexpr int k_knock_frames = 2400;  ///< 50 ms

/// Adds frames `first` to `first + count - 1` of a knock, those within 0 to k_knock_frames, to `out`.
/// The first frame of a knock is not zero: its onset is exact.
void add_knock(Knock knock, float level, int first, float* out, int count);

}  // namespace fretloom::voice
