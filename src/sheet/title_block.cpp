#include "sheet/title_block.h"

#include <algorithm>

#include "sheet/text_setter.h"

namespace fretloom::sheet {

namespace {

constexpr double k_logo_height = 7;
constexpr double k_paragraph_gap = 0.8;
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

Block title_block(const Prose& prose, const std::string& lesson_sentence, const SheetOptions& options, double width) {
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
  const bool says_more = !lesson_sentence.empty() || !prose.intro.empty() || !prose.links.empty();
  if (block.items.empty() && !says_more) return block;
  y -= k_prose.pitch - 1.1;
  if (options.logo) y = std::max(y, k_logo_height * 0.9 + 0.6);
  setter.rule(width, y, 0.3);
  block.height = y + 0.4;
  if (!says_more) return block;
  y += 2.9;
  for (const std::string& paragraph : {lesson_sentence, prose.intro}) {
    if (paragraph.empty()) continue;
    setter.prose(k_prose, 0, y, paragraph, width);
    y += k_paragraph_gap;
  }
  for (const std::string& link : prose.links) setter.prose(k_link, 0, y, link, width);
  if (prose.links.empty()) y -= k_paragraph_gap;
  block.height = y - k_prose.pitch + 1.0;
  return block;
}

}  // namespace fretloom::sheet
