#pragma once
// Stacks blocks into pages.

#include <string>
#include <vector>

#include "score/handout.h"
#include "sheet/block.h"
#include "sheet/options.h"

namespace fretloom::sheet {

/// Sizes of a page in staff spaces.
struct PageSize {
  double width = 0;
  double height = 0;
  double margin = 0;

  [[nodiscard]] double inner_width() const { return width - 2 * margin; }
};
[[nodiscard]] PageSize page_size(const SheetOptions& options);

/// Heights that the first page and the others have for blocks, between head and foot.
[[nodiscard]] PageRoom page_room(const Prose& prose, const std::string& cautions, const SheetOptions& options);

/// What the page breaker sees of blocks.
[[nodiscard]] std::vector<PageBlock> shapes_of(const std::vector<Block>& blocks);

/// Fills scene.pages, scene.systems and scene.bookmarks. Gaps open as far as they may, so that pages end
/// alike, or close a little where that lets a block on. The first page has `cautions` in its foot, the others a running
/// head; all have copyright, licence, version and their number.
void stack_pages(std::vector<Block> blocks, const Prose& prose, const std::string& cautions,
                 const SheetOptions& options, Scene& scene);

/// One page as high as its content, gaps as wide as they are by themselves.
void stack_on_screen(std::vector<Block> blocks, const Prose& prose, const std::string& cautions,
                     const SheetOptions& options, Scene& scene);

/// One page per block, as large as the block: the strip.
void stack_strips(std::vector<Block> blocks, const SheetOptions& options, Scene& scene);

}  // namespace fretloom::sheet
