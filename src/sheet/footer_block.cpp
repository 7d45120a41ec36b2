#include "sheet/footer_block.h"

#include <vector>

#include "sheet/text_setter.h"

namespace fretloom::sheet {

namespace {

constexpr TextKind k_cautions{Mark::footer, TextStyle::italic, 1.6, 2.15};
constexpr TextKind k_imprint{Mark::footer, TextStyle::regular, 1.6, 2.15};

std::string joined(const std::string& a, const std::string& b) {
  return a + (a.empty() || b.empty() ? "" : " \u00b7 ") + b;
}

/// "Title · Author · Copyright · Licence · version 2" in a line. Where that is too much, title and author have the
/// first line and may be shortened; the rest follows whole, since a copy must not lose it.
std::vector<std::string> imprint(const Prose& prose, const TextMetrics& metrics, double first_width, double width) {
  const std::string work = joined(prose.title, prose.author);
  const std::string version = prose.version.empty() ? "" : "version " + prose.version;
  const std::string rights = joined(joined(prose.copyright, prose.licence), version);
  const std::string whole = joined(work, rights);
  if (metrics.width(whole, k_imprint.style, k_imprint.size) <= first_width) return {whole};
  if (work.empty()) return paragraph_lines(metrics, rights, k_imprint, first_width);
  std::vector<std::string> lines{shorten(metrics, work, k_imprint.style, k_imprint.size, first_width)};
  for (std::string& line : paragraph_lines(metrics, rights, k_imprint, width)) lines.push_back(std::move(line));
  return lines;
}

}  // namespace

Block footer_block(const Prose& prose, const std::string& cautions, int page, int pages, const SheetOptions& options,
                   double width) {
  Block block;
  TextSetter setter(options.metrics, block);
  setter.rule(width, 0, 0.12);
  double y = k_imprint.size * 0.8 + 0.6;
  setter.prose(k_cautions, 0, y, cautions, width);
  const double first_line = y;
  // The same room for every page's number, so that all footers break alike.
  const double number_width = options.metrics.width("999 of 999", k_imprint.style, k_imprint.size);
  for (const std::string& line : imprint(prose, options.metrics, width - number_width - 1.5, width)) {
    setter.line(k_imprint, {0, y}, line);
    y += k_imprint.pitch;
  }
  setter.line(k_imprint, {width, first_line}, std::to_string(page + 1) + " of " + std::to_string(pages), Anchor::end);
  block.height = y - k_imprint.pitch + 0.5;
  return block;
}

}  // namespace fretloom::sheet
