#pragma once

#include <vector>

#include "sheet/block.h"
#include "sheet/options.h"
#include "sheet/passage.h"

namespace fretloom::sheet {

/// The tempos to climb, at the end of the handout and at text_scale 1: a heading, a sentence, and for each idea at each
/// feel a row of boxes to tick, each below its tempo and above a line for the date. Rungs that the page has no room for
/// go on in another row.
[[nodiscard]] std::vector<Block> ladder_blocks(const std::vector<ScoreAt>& scores, const SheetOptions& options,
                                               double width);

}  // namespace fretloom::sheet
