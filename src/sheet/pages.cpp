#include "sheet/pages.h"

#include <algorithm>

#include "sheet/footer_block.h"

namespace fretloom::sheet {

namespace {

constexpr double k_footer_gap = 2.0;

void put(Block& block, Point at, int page, Scene& scene) {
  ScenePage& target = scene.pages[static_cast<std::size_t>(page)];
  for (const SceneItem& item : block.items) target.items.push_back(transformed(item, 1, at));
  if (block.bookmark) scene.bookmarks.push_back({*block.bookmark, page, at.y});
  if (block.system) {
    SceneSystem system = *block.system;
    system.page = page;
    system.box = {system.box.left + at.x, system.box.top + at.y, system.box.right + at.x, system.box.bottom + at.y};
    system.left += at.x;
    system.right += at.x;
    scene.systems.push_back(system);
  }
}

double gap_at(const PageGap& gap, double force) { return gap.natural + force * (force < 0 ? gap.shrink : gap.stretch); }

}  // namespace

PageSize page_size(const SheetOptions& options) {
  const double space = options.staff_space.value;
  return {options.paper.width.value / space, options.paper.height.value / space, options.paper.margin.value / space};
}

void stack_pages(std::vector<Block> blocks, const Prose& prose, const std::string& cautions,
                 const SheetOptions& options, Scene& scene) {
  const PageSize size = page_size(options);
  const double footer =
      options.prose ? footer_block(prose, cautions, 0, 99, options, size.inner_width()).height + k_footer_gap : 0;
  const double room = std::max(1.0, size.height - 2 * size.margin - footer);
  std::vector<PageBlock> shapes;
  for (const Block& block : blocks) shapes.push_back({block.height, block.gap, block.keep_with_next, block.break_cost});
  const std::vector<int> starts = break_into_pages(shapes, room);
  for (std::size_t p = 0; p < starts.size(); ++p) {
    const int first = starts[p];
    const int end = p + 1 < starts.size() ? starts[p + 1] : static_cast<int>(blocks.size());
    const int page = static_cast<int>(p);
    scene.pages.push_back({size.width, size.height, {}});
    const double force = page_force(shapes, first, end - 1, room);
    double y = size.margin;
    for (int i = first; i < end; ++i) {
      Block& block = blocks[static_cast<std::size_t>(i)];
      if (i > first) y += gap_at(block.gap, force);
      put(block, {size.margin, y}, page, scene);
      y += block.height;
    }
    if (!options.prose) continue;
    Block foot = footer_block(prose, cautions, page, static_cast<int>(starts.size()), options, size.inner_width());
    put(foot, {size.margin, size.height - size.margin - foot.height}, page, scene);
  }
}

void stack_on_screen(std::vector<Block> blocks, const Prose& prose, const std::string& cautions,
                     const SheetOptions& options, Scene& scene) {
  const PageSize size = page_size(options);
  scene.pages.push_back({size.width, 0, {}});
  double y = size.margin;
  for (std::size_t i = 0; i < blocks.size(); ++i) {
    if (i > 0) y += blocks[i].gap.natural;
    put(blocks[i], {size.margin, y}, 0, scene);
    y += blocks[i].height;
  }
  if (options.prose) {
    Block foot = footer_block(prose, cautions, 0, 1, options, size.inner_width());
    y += k_footer_gap;
    put(foot, {size.margin, y}, 0, scene);
    y += foot.height;
  }
  scene.pages.front().height = y + size.margin;
}

void stack_strips(std::vector<Block> blocks, const SheetOptions& options, Scene& scene) {
  const double margin = options.paper.margin.value / options.staff_space.value;
  for (Block& block : blocks) {
    const double width = block.system ? block.system->box.right : 0;
    scene.pages.push_back({width + 2 * margin, block.height + 2 * margin, {}});
    put(block, {margin, margin}, static_cast<int>(scene.pages.size()) - 1, scene);
  }
}

}  // namespace fretloom::sheet
