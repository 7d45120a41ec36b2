#pragma once
// What feels are called on the page; an idea is called by heading_of (score/handout.h).

#include <string>

#include "score/handout.h"

namespace fretloom::sheet {

/// "4 notes a beat".
[[nodiscard]] std::string notes_a_beat(const Score& score);

}  // namespace fretloom::sheet
