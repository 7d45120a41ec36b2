#pragma once
// Facts that the texts would have used.

#include <vector>

#include "base/diagnostics.h"
#include "score/handout.h"

namespace fretloom {

/// One warning for each fact that is not there: missing-title, missing-author, missing-intro, missing-licence,
/// missing-links, missing-ideas; for an idea missing-name and missing-chords; a note for missing-note. `where` is the
/// key in the lesson file, an idea's under its number there.
[[nodiscard]] std::vector<Finding> missing_facts(const Handout& handout);

}  // namespace fretloom
