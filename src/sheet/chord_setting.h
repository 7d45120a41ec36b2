#pragma once
// How a chord symbol is set in type, wherever one stands: over the music, in the loom, on the vamp's line.

#include <vector>

#include "sheet/scene.h"
#include "theory/chord.h"

namespace fretloom::sheet {

/// A symbol's pieces, the first letter's left edge at 0, 0 on the baseline. They do not overlap, and none hangs lower
/// than the letters do.
struct ChordSetting {
  std::vector<TextShape> pieces;
  double width = 0;
};

/// Root bold and full size, its accidental smaller and raised; the triad's quality on the line; the extension smaller
/// and raised, alterations behind it in brackets; a bass note behind a slash (common practice):
///
///         7(b5)
///     F# m     /E
[[nodiscard]] ChordSetting set_chord(const Chord& chord, double size, const TextMetrics& metrics);

/// How far a symbol of this size reaches above its baseline.
[[nodiscard]] constexpr double chord_height(double size) { return 0.86 * size; }

}  // namespace fretloom::sheet
