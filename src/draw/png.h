#pragma once
// Scene -> PNG through Cairo and Pango.

#include "base/result.h"
#include "draw/rendered.h"
#include "sheet/music_font.h"
#include "sheet/scene.h"

namespace fretloom::draw {

/// One page on white. `dpi` 36 to 1200; or, if `pixel_width` > 0, as wide as that.
/// Errors: range = no such page, or an image above 200 million pixels; io = Cairo's own message.
[[nodiscard]] Result<Rendered> write_png(const sheet::Scene& scene, const sheet::MusicFont& font, int page, double dpi,
                                         int pixel_width = 0);

}  // namespace fretloom::draw
