#pragma once
// What feels and tempos are called on the page; an idea is called by heading_of (score/handout.h).

#include <string>

#include "score/handout.h"
#include "sheet/music_font.h"

namespace fretloom::sheet {

/// "4 notes a beat".
[[nodiscard]] std::string notes_a_beat(const Score& score);

/// The note that a meter's tempo counts.
struct BeatSign {
  Symbol symbol = Symbol::beat_quarter;
  bool dotted = false;
};
[[nodiscard]] BeatSign beat_sign(const Meter& meter);
/// What stands behind it: "= 60 to 120".
[[nodiscard]] std::string tempo_text(const IdeaSheet& idea);

}  // namespace fretloom::sheet
