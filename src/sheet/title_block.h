#pragma once

#include <string>

#include "score/handout.h"
#include "sheet/block.h"
#include "sheet/options.h"

namespace fretloom::sheet {

/// The head of the first page: title, author, the sentence about the lesson, intro, links and logo. What is empty is
/// left out; no items where all is.
[[nodiscard]] Block title_block(const Prose& prose, const std::string& lesson_sentence, const SheetOptions& options,
                                double width);

}  // namespace fretloom::sheet
