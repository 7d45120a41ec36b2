#pragma once
// An outline to speak from.

#include <string>

#include "score/handout.h"
#include "score/sentences.h"

namespace fretloom {

/// For each idea what to say, what to show and what to play, line by line, wrapped at 80. See description.h for what
/// holds for all texts.
[[nodiscard]] std::string script_text(const Handout& handout, const LessonSentences& sentences);

}  // namespace fretloom
