#pragma once
// What changed between two versions of a lesson, in the words of its music.

#include <string>
#include <vector>

#include "score/handout.h"

namespace fretloom {

/// One line a change, in the lesson's order: "idea 2, 4 a beat, bar 3, note 5: fret 9 to 10". Ideas are
/// matched by their number, feels by their notes a beat, notes by their onset; notes count within their
/// bar, bars as printed. A change that every feel of an idea shares is told for each.
[[nodiscard]] std::vector<std::string> changes(const Handout& before, const Handout& after);

/// The lines under a heading, at most 40 and then how many more; "No change in what is played or printed."
/// if there is none.
[[nodiscard]] std::string changes_text(const Handout& before, const Handout& after);

}  // namespace fretloom
