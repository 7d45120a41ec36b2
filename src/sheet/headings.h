#pragma once
// What ideas and feels are called on the page.

#include <string>

#include "score/handout.h"

namespace fretloom::sheet {

/// "2. Pull and roll"; "Idea 2" where it has no name.
[[nodiscard]] std::string idea_heading(const IdeaSheet& idea);
/// "4 notes a beat".
[[nodiscard]] std::string notes_a_beat(const Score& score);

}  // namespace fretloom::sheet
