#pragma once
// The key to the signs: what a handout's own signs mean, in a line.

#include <set>

#include "sheet/block.h"
#include "sheet/music_font.h"
#include "sheet/options.h"
#include "sheet/passage.h"

namespace fretloom::sheet {

/// In the order in which they are explained.
enum class Sign {
  downstroke,
  upstroke,
  free_change,
  blocked_change,
  hammer_on,
  pull_off,
  slide,
  accent,
  fingers,
  ordinals,
  landing,
};

/// The signs that these scores' music and drawings hold, as the options have them drawn.
[[nodiscard]] std::set<Sign> signs_of(const std::vector<ScoreAt>& scores, const SheetOptions& options);

/// Each sign with its meaning, in lines as wide as the page; at text_scale 1. No items without signs.
[[nodiscard]] Block signs_block(const std::set<Sign>& signs, const SheetOptions& options, const MusicFont& font,
                                double width);

}  // namespace fretloom::sheet
