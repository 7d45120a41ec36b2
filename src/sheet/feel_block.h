#pragma once

#include <string>

#include "score/handout.h"
#include "sheet/block.h"
#include "sheet/options.h"

namespace fretloom::sheet {

/// "4 notes a beat", tempo and swing; below it the sentence about the ending, if there is one. At text_scale 1.
[[nodiscard]] Block feel_block(const IdeaSheet& idea, const Score& score, const std::string& ending_sentence,
                               const SheetOptions& options, const MusicFont& font, double width);

}  // namespace fretloom::sheet
