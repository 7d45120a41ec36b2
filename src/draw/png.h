#pragma once
// Scene -> PNG through Cairo and Pango.

#include "base/result.h"
#include "draw/rendered.h"
#include "sheet/music_font.h"
#include "sheet/scene.h"

namespace fretloom::draw {

inline constexpr double k_least_dpi = 36;
inline constexpr double k_most_dpi = 1200;

/// One page on white. `dpi` k_least_dpi to k_most_dpi; or, if `pixel_width` > 0, as wide as that.
/// Errors: range = no such page, or an image above 200 million pixels; io = Cairo's own message.
[[nodiscard]] Result<Rendered> write_png(const sheet::Scene& scene, const sheet::MusicFont& font, int page, double dpi,
                                         int pixel_width = 0);

}  // namespace fretloom::draw
