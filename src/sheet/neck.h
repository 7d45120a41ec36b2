#pragma once
// The neck diagram: the layout's notes where the hand finds them, the rule's path over them, frets at their real
// distances.

#include <vector>

#include "score/handout.h"
#include "sheet/options.h"
#include "sheet/scene.h"

namespace fretloom::sheet {

/// Share of the scale length from the nut to fret n: 1 - 2^(-n/12) (twelve-tone equal temperament).
[[nodiscard]] double fret_place(int fret);

/// Dots in the board behind a fret, counted from the nut: one at 3, 5, 7, 9 and again in each octave, two at 12 and 24
/// (common practice, no source); 0 elsewhere.
[[nodiscard]] int inlay_dots(int fret);

/// Where a finger stands for every fret from the capo (0: the open string), also for those that a row does not show.
using FretPlaces = std::vector<double>;

struct NeckDrawing {
  std::vector<SceneItem> items;  ///< origin at the top left corner
  Box box;
  /// First item of each row, one below the other: more than one where the width is too small for its digits.
  std::vector<std::size_t> rows;
  std::vector<FretPlaces> frets;  ///< of each row
};

/// Frets from one below the lowest to one above the highest layout note, thickest string at the foot, fret numbers
/// from the capo below, "capo" with its fret above where there is one. Every layout note is a ring with its ordinal:
/// the key's first degree filled, the first repetition's notes with a heavy ring and bold digits, the others faint. The
/// path of that repetition goes from note to note: solid after a downstroke, dotted after an upstroke, a thin arc to a
/// slurred note; along a string it hops, above the rings toward the bridge and below them toward the nut. The later
/// repetitions' paths are faint; so are the places of theirs that lie outside the layout, where they stand between the
/// frets that are drawn. A left-handed neck is mirrored.
/// Digits are never smaller than smallest_text(options). Items of a place know it (SceneItem::place). `width` in staff
/// spaces: widest that it may be. Empty for an idea without layout. Strokes are read from `score`, one of the idea's
/// feels.
[[nodiscard]] NeckDrawing draw_neck(const IdeaSheet& idea, const Score& score, double width, const MusicFont& font,
                                    const SheetOptions& options);

/// Whether two ideas' notes lie on the same frets of the same instrument, so that one diagram serves both.
[[nodiscard]] bool share_neck(const IdeaSheet& a, const IdeaSheet& b);

}  // namespace fretloom::sheet
