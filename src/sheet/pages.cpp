#include "sheet/pages.h"

#include <algorithm>

#include "sheet/footer_block.h"

namespace fretloom::sheet {

namespace {

constexpr double k_footer_gap = 2.0;
constexpr double k_head_gap = 2.5;

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

namespace {

Block foot_of(const Prose& prose, const std::string& cautions, int page, int pages, const SheetOptions& options) {
  const double scale = text_scale(options);
  const double width = page_size(options).inner_width() / scale;
  return enlarged(footer_block(prose, page == 0 && options.prose ? cautions : "", page, pages, options, width), scale);
}

Block head_of(const Prose& prose, const std::string& chapter, const SheetOptions& options) {
  const double scale = text_scale(options);
  return enlarged(running_head(prose, chapter, options, page_size(options).inner_width() / scale), scale);
}

/// Music alone has neither.
bool has_margins(const SheetOptions& options) { return options.prose || options.only.empty(); }

}  // namespace

PageRoom page_room(const Prose& prose, const std::string& cautions, const SheetOptions& options) {
  const PageSize size = page_size(options);
  const double whole = size.height - 2 * size.margin;
  if (!has_margins(options)) return {std::max(1.0, whole), std::max(1.0, whole)};
  const double first = whole - foot_of(prose, cautions, 0, 99, options).height - k_footer_gap;
  const double others = whole - foot_of(prose, "", 1, 99, options).height - k_footer_gap -
                        head_of(prose, "", options).height - k_head_gap;
  return {std::max(1.0, first), std::max(1.0, others)};
}

std::vector<PageBlock> shapes_of(const std::vector<Block>& blocks) {
  std::vector<PageBlock> shapes;
  for (const Block& block : blocks) {
    shapes.push_back(
        {block.height, block.gap, block.keep_with_next, block.break_cost, block.system.has_value(), block.opens_page});
  }
  return shapes;
}

void stack_pages(std::vector<Block> blocks, const Prose& prose, const std::string& cautions,
                 const SheetOptions& options, Scene& scene) {
  const PageSize size = page_size(options);
  const PageRoom room = page_room(prose, cautions, options);
  const std::vector<PageBlock> shapes = shapes_of(blocks);
  const std::vector<int> starts = break_into_pages(shapes, room);
  const std::vector<double> forces = page_forces(shapes, starts, room);
  const auto pages = static_cast<int>(starts.size());
  for (int page = 0; page < pages; ++page) {
    const int first = starts[static_cast<std::size_t>(page)];
    const int end = page + 1 < pages ? starts[static_cast<std::size_t>(page) + 1] : static_cast<int>(blocks.size());
    scene.pages.push_back({size.width, size.height, {}});
    double y = size.margin;
    if (page > 0 && has_margins(options)) {
      Block head = head_of(prose, blocks[static_cast<std::size_t>(first)].chapter, options);
      put(head, {size.margin, y}, page, scene);
      y += head.height + k_head_gap;
    }
    for (int i = first; i < end; ++i) {
      Block& block = blocks[static_cast<std::size_t>(i)];
      if (i > first) y += gap_at(block.gap, forces[static_cast<std::size_t>(page)]);
      put(block, {size.margin, y}, page, scene);
      y += block.height;
    }
    if (!has_margins(options)) continue;
    Block foot = foot_of(prose, cautions, page, pages, options);
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
  if (has_margins(options)) {
    Block foot = foot_of(prose, cautions, 0, 0, options);
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
