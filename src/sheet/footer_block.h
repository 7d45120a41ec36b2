#pragma once

#include <string>

#include "score/handout.h"
#include "sheet/block.h"
#include "sheet/options.h"

namespace fretloom::sheet {

/// The foot of every page: cautions, then title, author, copyright, licence and version with the page's number (`page`
/// from 0). The same height on all pages.
[[nodiscard]] Block footer_block(const Prose& prose, const std::string& cautions, int page, int pages,
                                 const SheetOptions& options, double width);

}  // namespace fretloom::sheet
