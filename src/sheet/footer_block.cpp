#include "sheet/footer_block.h"

#include <algorithm>

#include "sheet/text_setter.h"

namespace fretloom::sheet {

namespace {

constexpr TextKind k_cautions{Mark::footer, TextStyle::italic, 1.6, 2.15};
constexpr TextKind k_imprint{Mark::footer, TextStyle::regular, 1.6, 2.15};
constexpr TextKind k_work{Mark::running_head, TextStyle::regular, 1.6, 2.15};
constexpr TextKind k_chapter{Mark::running_head, TextStyle::italic, 1.6, 2.15};

std::string joined(const std::string& a, const std::string& b) {
  return a + (a.empty() || b.empty() ? "" : " \u00b7 ") + b;
}

}  // namespace

Block running_head(const Prose& prose, const std::string& chapter, const SheetOptions& options, double width) {
  Block block;
  TextSetter setter(options.metrics, block);
  const double y = k_work.size * 0.8;
  const std::string right = shorten(options.metrics, chapter, k_chapter.style, k_chapter.size, 0.55 * width);
  const double right_width = options.metrics.width(right, k_chapter.style, k_chapter.size);
  const std::string left =
      shorten(options.metrics, joined(prose.title, prose.author), k_work.style, k_work.size, width - right_width - 2);
  setter.line(k_work, {0, y}, left);
  setter.line(k_chapter, {width, y}, right, Anchor::end);
  setter.rule(width, y + 0.8, 0.12);
  block.height = y + 0.9;
  return block;
}

Block footer_block(const Prose& prose, const std::string& cautions, int page, int pages, const SheetOptions& options,
                   double width) {
  Block block;
  TextSetter setter(options.metrics, block);
  setter.rule(width, 0, 0.12);
  double y = k_imprint.size * 0.8 + 0.6;
  setter.prose(k_cautions, 0, y, cautions, width);
  const double first_line = y;
  const std::string version = prose.version.empty() ? "" : "version " + prose.version;
  const std::string rights = joined(joined(prose.copyright, prose.licence), version);
  // The same room for every page's number, so that all footers break alike.
  const double number_width = options.metrics.width("999 of 999", k_imprint.style, k_imprint.size);
  for (const std::string& line : paragraph_lines(options.metrics, rights, k_imprint, width - number_width - 1.5)) {
    setter.line(k_imprint, {0, y}, line);
    y += k_imprint.pitch;
  }
  if (pages > 0) {
    const std::string number = std::to_string(page + 1) + " of " + std::to_string(pages);
    setter.line(k_imprint, {width, first_line}, number, Anchor::end);
    y = std::max(y, first_line + k_imprint.pitch);
  }
  block.height = y - k_imprint.pitch + 0.5;
  return block;
}

}  // namespace fretloom::sheet
