#pragma once

#include <vector>

#include "score/handout.h"
#include "sheet/block.h"
#include "sheet/options.h"

namespace fretloom::sheet {

/// The loom of an idea at one of its feels, a block a row, so that a page may break between them; none where
/// options.loom says so. `passage`: the index in Scene::passages that the feel's music has, so that loom and music
/// share their notes' ids. Preconditions of lay_loom.
[[nodiscard]] std::vector<Block> loom_blocks(const IdeaSheet& idea, const Score& score, int passage,
                                             const SheetOptions& options, const MusicFont& font, double width);

}  // namespace fretloom::sheet
