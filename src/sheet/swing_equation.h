#pragma once
// Swing as players read it: two even notes = a long one and a short one.

#include "score/vamp.h"
#include "sheet/block.h"
#include "sheet/music_font.h"
#include "sheet/options.h"

namespace fretloom::sheet {

/// Draws the equation with its baseline at `at`, for text of `size`, and gives where it ends. 2:1 is written as a
/// triplet of a long and a short note, 3:1 as a dotted note and a short one, any other ratio in figures, "swing 3:2".
/// Precondition: swings.
double draw_swing(const Vamp& vamp, const Meter& meter, Point at, double size, Mark mark, const MusicFont& font,
                  const SheetOptions& options, Block& block);

}  // namespace fretloom::sheet
