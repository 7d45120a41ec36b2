#pragma once

#include <string>
#include <vector>

#include "score/handout.h"
#include "score/sentences.h"
#include "sheet/block.h"
#include "sheet/options.h"

namespace fretloom::sheet {

/// A heading that the reader finds among the bookmarks.
[[nodiscard]] Block heading_block(const std::string& text, const SheetOptions& options, double width);

/// The heading "2. Six that folds back"; then rule, sentences, proof and note beside the neck diagram, which shows the
/// rule's order as `score` has it, one of the idea's feels. The second block is missing where there is nothing in it.
[[nodiscard]] std::vector<Block> idea_blocks(const IdeaSheet& idea, const Score& score, const IdeaSentences& sentences,
                                             const SheetOptions& options, const MusicFont& font, double width);

}  // namespace fretloom::sheet
