#pragma once
// The click: a wood block, higher and louder the more it weighs.

#include <stdint.h>

namespace fretloom::voice {

/// Peaks: the bar's knock 0 dB, the beat's -3 dB, the subdivision's -10 dB.
enum class Knock : int32_t { bar, beat, subdivision };
/// Dry under music; open where it is heard alone, since so short a sound is as loud as music only if it rings.
enum class Ring : int32_t { dry, open };

constexpr int k_knock_frames = 7200;  ///< 150 ms

/// Adds frames `first` to `first + count - 1` of a knock, those within 0 to k_knock_frames, to `out`. The bar's knock
/// has its peak at `level`. The first frame of a knock is not zero, so its onset is exact, and small: the stick meets
/// the wood within a millisecond, without a step.
void add_knock(Knock knock, Ring ring, float level, int first, float* out, int count);

}  // namespace fretloom::voice
