#pragma once
// Scene -> PDF through Cairo and Pango.

#include <string>

#include "base/result.h"
#include "draw/rendered.h"
#include "sheet/music_font.h"
#include "sheet/scene.h"

namespace fretloom::draw {

struct PdfOptions {
  /// ISO 8601; part of the bytes, so it is the caller's to choose and never the clock's.
  std::string creation_date = "2000-01-01T00:00:00Z";
  std::string keywords;  ///< metadata as it is; empty = none
};

/// All pages, vector, text in embedded subset fonts, music as an embedded outline font; title, author
/// and words in the metadata, bookmarks (one an idea). The same scene gives the same bytes.
/// Errors: range = the scene has no page; io = Cairo's own message.
[[nodiscard]] Result<Rendered> write_pdf(const sheet::Scene& scene, const sheet::MusicFont& font,
                                         const PdfOptions& options = {});

}  // namespace fretloom::draw
