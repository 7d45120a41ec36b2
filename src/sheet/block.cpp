#include "sheet/block.h"

namespace fretloom::sheet {

double text_scale(const SheetOptions& options) { return options.text_size.value / (2.0 * options.staff_space.value); }

Block enlarged(Block block, double scale) {
  for (SceneItem& item : block.items) item = transformed(item, scale, {0, 0});
  block.height *= scale;
  for (double* part : {&block.gap.natural, &block.gap.shrink, &block.gap.stretch}) *part *= scale;
  return block;
}

}  // namespace fretloom::sheet
