#pragma once
// A rule for a reader who does not know its notation.

#include <string>

#include "score/handout.h"

namespace fretloom {

/// "String notes 1, 3, 2 and 3, then, one string thinner, 2 and 1."; "Scale steps 1, 2, 3 and 4."; with "hammer
/// on to 2", "2 (accented)", "2 held for two notes' time", "a rest".
[[nodiscard]] std::string rule_words(const Rule& rule);
/// What its numbers count, to be said once a text: "String note 1 is the lowest note of a string in this layout."; of a
/// sequence, which need not begin on its step 1, "The first time through, step 1 is G."
[[nodiscard]] std::string rule_explanation(const IdeaSheet& idea);

}  // namespace fretloom
