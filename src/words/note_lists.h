#pragma once
// Notes and strokes as lists to read.

#include <span>
#include <string>

#include "score/score.h"

namespace fretloom {

/// "6: 12 15 14 15 | 5: 14 12": notes by strings as they come, h, p or s before a slurred fret.
[[nodiscard]] std::string frets_text(std::span<const ScoreNote> notes);
/// "D U D U | D U", parted alike, a slurred note as "-".
[[nodiscard]] std::string strokes_text(std::span<const ScoreNote> notes);

}  // namespace fretloom
