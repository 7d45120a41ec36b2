#pragma once
// The files of the page, as scripts/build_web.mjs made them.

#include <span>

#include "files/embedded.h"

namespace fretloom::studio {

/// What the server gives out: "index.html", "studio.js.gz", "fonts/....woff2". One that ends in .gz is packed by gzip.
[[nodiscard]] std::span<const EmbeddedFile> page_files();

/// The page that needs no server, packed by gzip: "index.html.gz", and what lies beside it where it is hosted.
[[nodiscard]] std::span<const EmbeddedFile> static_files();

}  // namespace fretloom::studio
