#pragma once

#include <string>

#include "score/handout.h"
#include "sheet/block.h"
#include "sheet/options.h"

namespace fretloom::sheet {

/// "4 notes a beat", tempo, swing and vamp rhythm; below it the sentence about the ending, if there is one.
[[nodiscard]] Block feel_block(const IdeaSheet& idea, const Score& score, const std::string& ending_sentence,
                               const SheetOptions& options, const MusicFont& font, double width);

}  // namespace fretloom::sheet
