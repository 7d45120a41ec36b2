#pragma once
// The text for the page where the lesson is published.
//
// Description, script and e-mail are plain UTF-8, end in one line break and are the same for the same input. Names and
// prose of the lesson are put on one line first (see plain_line), so that a title can neither break a line nor start a
// header. A fact that is missing is left out with its whole sentence; missing_facts lists it.

#include <string>

#include "score/handout.h"
#include "score/sentences.h"

namespace fretloom {

/// Title, intro, the lesson in a sentence, what each idea is and how its strokes go, cautions, links and licence. One
/// paragraph a line, since pages wrap by themselves. `sentences` are the handout's.
[[nodiscard]] std::string description_text(const Handout& handout, const LessonSentences& sentences);

}  // namespace fretloom
