#pragma once
// The neck diagram: the layout's notes where the hand finds them, frets at their real distances.

#include <vector>

#include "score/handout.h"
#include "sheet/options.h"
#include "sheet/scene.h"

namespace fretloom::sheet {

/// Share of the scale length from the nut to fret n: 1 - 2^(-n/12) (twelve-tone equal temperament).
[[nodiscard]] double fret_place(int fret);

struct NeckDrawing {
  std::vector<SceneItem> items;  ///< origin at the top left corner
  Box box;
  double scale = 1;  ///< below 1 where the width was too small for rings that do not touch
};

/// Frets from one below the lowest to one above the highest layout note, thickest string at the foot;
/// every layout note a ring with its degree, the key's first degree in a heavy ring; the numbers of the
/// notes of the rule's first repetition in order above their rings. Lines open for the rings, so that no
/// colour is needed. `width` in staff spaces: widest it may be; the diagram shrinks when a ring would
/// not fit between frets. Empty for an idea without layout. The order of the rule is read from `score`, one of its
/// feels.
[[nodiscard]] NeckDrawing draw_neck(const IdeaSheet& idea, const Score& score, double width, const MusicFont& font,
                                    const SheetOptions& options);

}  // namespace fretloom::sheet
