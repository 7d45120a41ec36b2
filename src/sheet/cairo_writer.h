#pragma once
// Scene -> PDF and PNG through Cairo and Pango. Bytes, not files: the caller stores them.

#include <string>

#include "base/diagnostics.h"
#include "base/result.h"
#include "sheet/music_font.h"
#include "sheet/scene.h"

namespace fretloom::sheet {

inline constexpr std::string_view k_text_font = "Gentium Plus";                   ///< SIL OFL 1.1
inline constexpr std::string_view k_text_font_package = "fonts-sil-gentiumplus";  ///< Debian's name

/// A finished file. Findings: sheet-text-font-missing (another font stands in; its package is named),
/// sheet-logo-unreadable.
struct Rendered {
  std::string bytes;
  Diagnostics findings;
};

struct PdfOptions {
  /// ISO 8601; part of the bytes, so it is the caller's to choose and never the clock's.
  std::string creation_date = "2000-01-01T00:00:00Z";
  std::string keywords;  ///< metadata as it is; empty = none
};

/// All pages, vector, text in embedded subset fonts, music as an embedded outline font; title, author
/// and words in the metadata, bookmarks (one an idea). The same scene gives the same bytes.
/// Errors: io = Cairo's own message.
[[nodiscard]] Result<Rendered> write_pdf(const Scene& scene, const MusicFont& font, const PdfOptions& options = {});

/// One page on white. `dpi` 36 to 1200; or, if `pixel_width` > 0, as wide as that.
/// Errors: range = no such page, or an image above 200 million pixels; io = Cairo's own message.
[[nodiscard]] Result<Rendered> write_png(const Scene& scene, const MusicFont& font, int page, double dpi,
                                         int pixel_width = 0);

}  // namespace fretloom::sheet
