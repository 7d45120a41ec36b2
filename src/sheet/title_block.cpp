#include "sheet/title_block.h"

#include <algorithm>

#include "sheet/code_drawing.h"
#include "sheet/prose_blocks.h"
#include "sheet/text_setter.h"

namespace fretloom::sheet {

namespace {

constexpr double k_logo_height = 7;
constexpr double k_beside = 2;         // white between the prose and what stands at its right
constexpr double k_least_column = 18;  // narrower columns hold no code with its link
constexpr TextKind k_title{Mark::title, TextStyle::bold, 4.6, 5.29};
constexpr TextKind k_author{Mark::author, TextStyle::italic, 2.2, 2.75};
constexpr TextKind k_link{Mark::prose, TextStyle::italic, k_prose.size, k_prose.pitch};

/// Puts the logo into the corner; how wide the text beside it may be.
double place_logo(const Logo& logo, double width, Block& block) {
  const double logo_width = std::min(width / 3, k_logo_height * logo.width / logo.height);
  const double logo_height = logo_width * logo.height / logo.width;
  block.items.push_back({Mark::logo, {}, -1, ImageShape{Box{width - logo_width, 0, width, logo_height}}});
  return width - logo_width - 2;
}

}  // namespace

Block title_block(const Prose& prose, const SheetOptions& options, double width) {
  Block block;
  TextSetter setter(options.metrics, block);
  const double right = options.logo ? place_logo(*options.logo, width, block) : width;
  double y = k_title.size * 0.8;
  if (prose.title.empty()) y = k_author.size * 0.8;
  for (const std::string& line : paragraph_lines(options.metrics, prose.title, k_title, right)) {
    setter.line(k_title, {0, y}, line);
    y += k_title.pitch;
  }
  if (!prose.title.empty()) y += 3.1 - k_title.pitch;
  setter.prose(k_author, 0, y, prose.author, right);
  if (block.items.empty()) return block;
  y -= k_prose.pitch - 1.1;
  if (options.logo) y = std::max(y, k_logo_height * 0.9 + 0.6);
  setter.rule(width, y, 0.3);
  block.height = y + 0.4;
  block.keep_with_next = true;
  return block;
}

std::vector<Block> intro_blocks(const Prose& prose, const std::string& lesson_sentence, const SheetOptions& options,
                                double width) {
  std::vector<Paragraph> paragraphs;
  if (options.prose) paragraphs = {{k_prose, lesson_sentence}, {k_prose, prose.intro}};
  const bool coded = options.code && options.link_code && !options.paper.is_screen();
  for (const std::string& link : prose.links) {
    if (options.prose && !(coded && link == options.link_code->link)) paragraphs.push_back({k_link, link});
  }
  std::vector<Block> blocks;
  const double column = width - measure_of(k_prose) - k_beside;
  if (!coded || column < k_least_column) {
    blocks = prose_blocks(paragraphs, 0, width, 0, options);
    if (coded) blocks.push_back(code_drawing(*options.link_code, CodeSide::left, width, options));
  } else {
    Block code = code_drawing(*options.link_code, CodeSide::right, column, options);
    blocks = prose_blocks(paragraphs, 0, width, code.height, options);
    if (blocks.empty()) blocks.emplace_back();
    Block& first = blocks.front();
    for (const SceneItem& item : code.items) first.items.push_back(transformed(item, 1, {width - column, 0}));
    first.height = std::max(first.height, code.height);
    first.gap = k_part_gap;
  }
  return blocks;
}

}  // namespace fretloom::sheet
