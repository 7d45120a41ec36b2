#include "sheet/loom_block.h"

#include "sheet/loom_drawing.h"

namespace fretloom::sheet {

namespace {

constexpr PageGap k_loom_gap{1.6, 0.4, 0.8};  // before the loom
constexpr PageGap k_row_gap{1.2, 0.4, 1.0};   // between its rows
constexpr double k_row_break_cost = 0.08;     // of a page break between rows; as between the systems of a passage

}  // namespace

std::vector<Block> loom_blocks(const IdeaSheet& idea, const Score& score, int passage, const SheetOptions& options,
                               const MusicFont& font, double width) {
  std::vector<Block> blocks;
  if (!options.loom) return blocks;
  const Loom loom = lay_loom(idea, score, loom_units(loom_size(idea, options), width));
  for (LoomRowDrawing& row : draw_loom(loom, idea, score, passage, width, options, font)) {
    Block& block = blocks.emplace_back();
    block.items = std::move(row.items);
    block.height = row.height;
    block.gap = blocks.size() == 1 ? k_loom_gap : k_row_gap;
    block.break_cost = k_row_break_cost;
  }
  return blocks;
}

}  // namespace fretloom::sheet
