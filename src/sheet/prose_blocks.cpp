#include "sheet/prose_blocks.h"

#include <algorithm>

#include "base/text.h"

namespace fretloom::sheet {

namespace {

constexpr double k_paragraph_gap = 0.8;
constexpr double k_blank_line = 0.45;  // of the pitch
constexpr double k_up = 0.75;          // of a line's height, above its baseline

struct SetLine {
  TextKind kind;
  std::string text;
  double white = 0;        ///< before it, more than the pitch
  bool breakable = false;  ///< a page may end before it
  bool opens = false;      ///< a paragraph
};

std::vector<SetLine> set_lines(const std::vector<Paragraph>& paragraphs, double width, const SheetOptions& options) {
  std::vector<SetLine> lines;
  for (const Paragraph& paragraph : paragraphs) {
    double white = lines.empty() ? 0 : k_paragraph_gap;
    for (const std::string_view part : split(trim(paragraph.text), '\n')) {
      if (trim(part).empty()) {
        white = std::max(white, k_blank_line * paragraph.kind.pitch);
        continue;
      }
      const std::vector<std::string> set =
          paragraph_lines(options.metrics, part, paragraph.kind, std::min(width, measure_of(paragraph.kind)));
      for (std::size_t i = 0; i < set.size(); ++i) {
        const bool opens = i == 0;
        const bool inside = i >= 2 && i + 1 < set.size();
        lines.push_back({paragraph.kind, set[i], opens ? white : 0, (opens && !lines.empty()) || inside, opens});
      }
      white = 0;
    }
  }
  return lines;
}

}  // namespace

std::vector<Block> prose_blocks(const std::vector<Paragraph>& paragraphs, double indent, double width,
                                double least_height, const SheetOptions& options) {
  const std::vector<SetLine> lines = set_lines(paragraphs, std::max(8.0, width - indent), options);
  const bool whole = lines.size() <= k_whole_prose;
  std::vector<Block> blocks;
  double y = 0;
  for (const SetLine& line : lines) {
    if (blocks.empty() || (!whole && line.breakable && y >= least_height)) {
      const bool first = blocks.empty();
      Block block;
      block.gap = k_part_gap;
      if (!first) {
        const double natural = line.kind.pitch - line.kind.size + line.white;
        block.gap = line.opens ? PageGap{natural, 0.2, 0.5} : PageGap{natural, 0, 0};
        block.break_cost = line.opens ? 0 : k_line_break_cost;
      }
      blocks.push_back(std::move(block));
      y = k_up * line.kind.size;
    } else {
      y += line.kind.pitch + line.white;
    }
    TextSetter(options.metrics, blocks.back()).line(line.kind, {indent, y}, line.text);
    blocks.back().height = y + (1 - k_up) * line.kind.size;
  }
  return blocks;
}

}  // namespace fretloom::sheet
