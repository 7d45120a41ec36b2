#include "sheet/footer_block.h"

#include <algorithm>

#include "sheet/text_setter.h"

namespace fretloom::sheet {

namespace {

constexpr TextKind k_cautions{Mark::footer, TextStyle::italic, 1.6, 2.15};
constexpr TextKind k_imprint{Mark::footer, TextStyle::regular, 1.6, 2.15};

std::string joined(const std::string& a, const std::string& b) {
  return a + (a.empty() || b.empty() ? "" : " \u00b7 ") + b;
}

/// "Title · Author · Copyright · Licence · version 2" within a width. Where that is too much, title and author are
/// shortened before the rest, which a copy must not lose.
std::string imprint(const Prose& prose, const TextMetrics& metrics, double width) {
  constexpr double k_rights_share = 0.6;
  const auto width_of = [&](const std::string& text) { return metrics.width(text, k_imprint.style, k_imprint.size); };
  const auto cut = [&](const std::string& text, double room) {
    return shorten(metrics, text, k_imprint.style, k_imprint.size, room);
  };
  const std::string work = joined(prose.title, prose.author);
  const std::string rights =
      joined(joined(prose.copyright, prose.licence), prose.version.empty() ? "" : "version " + prose.version);
  const std::string whole = joined(work, rights);
  if (width_of(whole) <= width) return whole;
  const std::string kept = cut(rights, std::max(k_rights_share * width, width - width_of(joined(work, " "))));
  return joined(cut(work, width - width_of(joined(" ", kept))), kept);
}

}  // namespace

Block footer_block(const Prose& prose, const std::string& cautions, int page, int pages, const SheetOptions& options,
                   double width) {
  Block block;
  TextSetter setter(options.metrics, block);
  setter.rule(width, 0, 0.12);
  double y = k_imprint.size * 0.8 + 0.6;
  setter.prose(k_cautions, 0, y, cautions, width);
  const std::string count = std::to_string(page + 1) + " of " + std::to_string(pages);
  const double count_width = options.metrics.width(count, k_imprint.style, k_imprint.size);
  setter.line(k_imprint, {0, y}, imprint(prose, options.metrics, width - count_width - 1.5));
  setter.line(k_imprint, {width, y}, count, Anchor::end);
  block.height = y + 0.5;
  return block;
}

}  // namespace fretloom::sheet
