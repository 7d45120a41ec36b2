#pragma once

#include <string>

#include "score/handout.h"
#include "sheet/block.h"
#include "sheet/options.h"

namespace fretloom::sheet {

// Both at text_scale 1.

/// The head of a page behind the first: title and author at the left, what the page goes on with at the right, a line
/// below. Both are shortened where they have to be.
[[nodiscard]] Block running_head(const Prose& prose, const std::string& chapter, const SheetOptions& options,
                                 double width);

/// The foot of a page: cautions, then copyright, licence and version with the page's number (`page` from 0), "2 of 5";
/// no number for a single page without end (`pages` 0). Copyright, licence and version are never cut, they go on to
/// further lines.
[[nodiscard]] Block footer_block(const Prose& prose, const std::string& cautions, int page, int pages,
                                 const SheetOptions& options, double width);

}  // namespace fretloom::sheet
