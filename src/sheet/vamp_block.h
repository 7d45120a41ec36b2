#pragma once

#include "score/handout.h"
#include "sheet/block.h"
#include "sheet/music_font.h"
#include "sheet/options.h"

namespace fretloom::sheet {

/// The idea's vamp as a lead-sheet line between repeat signs, one cell a bar: chords above, the first bar in the rhythm
/// that the chords are struck in, the others with a slash a beat; over it the rhythm in words and the swing. Vamps of
/// many bars take several lines. At text_scale 1. No items without a vamp.
[[nodiscard]] Block vamp_block(const IdeaSheet& idea, const SheetOptions& options, const MusicFont& font, double width);

/// Whether two ideas play over the same bars in the same way.
[[nodiscard]] bool same_vamp(const IdeaSheet& a, const IdeaSheet& b);

}  // namespace fretloom::sheet
