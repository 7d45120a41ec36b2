#pragma once

#include <string>
#include <vector>

#include "score/handout.h"
#include "score/sentences.h"
#include "sheet/block.h"
#include "sheet/options.h"

namespace fretloom::sheet {

// All at text_scale 1.

/// A heading that the reader finds among the bookmarks.
[[nodiscard]] Block heading_block(const std::string& text, const SheetOptions& options, double width);

/// Whether an idea's neck diagram is drawn with it; not where an idea before it, or the first page, has the same one.
enum class NeckPlace { here, elsewhere };

/// What stands above an idea's loom: the heading "2. Six that folds back", the rule in large figures, and the sentences
/// about it, beside the neck diagram or above it. The diagram shows the rule's order as `score` has it, one of the
/// idea's feels. What is missing leaves no room.
[[nodiscard]] std::vector<Block> idea_head_blocks(const IdeaSheet& idea, const Score& score,
                                                  const IdeaSentences& sentences, NeckPlace neck,
                                                  const SheetOptions& options, const MusicFont& font, double width);

/// The neck diagram alone, a block for each of its rows; empty where there is none.
[[nodiscard]] std::vector<Block> neck_blocks(const IdeaSheet& idea, const Score& score, const SheetOptions& options,
                                             const MusicFont& font, double width);

/// What stands below the loom: the proof with a bar at its left, and the teacher's note.
[[nodiscard]] std::vector<Block> proof_blocks(const IdeaSheet& idea, const IdeaSentences& sentences,
                                              const SheetOptions& options, double width);

}  // namespace fretloom::sheet
