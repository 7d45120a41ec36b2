#pragma once
// A passage as blocks of a page: one a system.

#include <optional>
#include <vector>

#include "sheet/block.h"
#include "sheet/passage.h"

namespace fretloom::sheet {

/// A bar that no line holds, and what its passage is therefore drawn at.
struct DenseBar {
  const MeasuredBar* bar = nullptr;  ///< of the plan
  double scale = 1;
};

struct PassageBlocks {
  std::vector<Block> blocks;
  std::optional<DenseBar> dense;
};

/// Breaks the plan into lines and engraves each. `more_lines`: than would be best, fewer below 0; a change that leaves
/// a line too full or too loose to read well, or a landing alone, gives no blocks. `passage` is its index in the scene.
/// A strip has one line a section.
[[nodiscard]] PassageBlocks passage_blocks(const PassagePlan& plan, int passage, int more_lines, const MusicFont& font,
                                           const SheetOptions& options);

}  // namespace fretloom::sheet
