#pragma once
// The clef an instrument is written in.

#include <vector>

#include "score/score.h"

namespace fretloom {

/// Guitars: treble clef with 8 below. Basses: bass clef, sounding an octave lower. Both are written an
/// octave above their sound (common practice).
enum class Clef { treble_8vb, bass };

/// Bass clef where the lowest open string is below E2 and the highest at or below G3: every usual bass
/// with four to seven strings (E1 to G2, B0 to F3), no guitar (highest string B3 or above).
[[nodiscard]] Clef clef_for(const std::vector<ScoreString>& strings);

}  // namespace fretloom
