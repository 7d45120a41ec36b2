#pragma once

#include <string>
#include <vector>

#include "score/handout.h"
#include "sheet/block.h"
#include "sheet/options.h"

namespace fretloom::sheet {

/// The head of the first page: title, author and logo over a line, at text_scale 1. No items where there is neither.
[[nodiscard]] Block title_block(const Prose& prose, const SheetOptions& options, double width);

/// The sentence about the lesson, the intro and the links, the QR code at their right or, on narrow pages, below; its
/// link in words beside it. At text_scale 1.
[[nodiscard]] std::vector<Block> intro_blocks(const Prose& prose, const std::string& lesson_sentence,
                                              const SheetOptions& options, double width);

}  // namespace fretloom::sheet
