#pragma once
// The e-mail that goes out with a lesson.

#include <string>
#include <vector>

#include "score/handout.h"
#include "score/sentences.h"

namespace fretloom {

/// "Subject: ..." on the first line, whole; an empty line; the body, no line wider than 72 columns but for single words
/// (addresses) that are. `enclosed` lists what goes with it: "the handout to print (handout.pdf)"; empty ones are
/// dropped. See description.h for what holds for all texts.
[[nodiscard]] std::string email_text(const Handout& handout, const LessonSentences& sentences,
                                     const std::vector<std::string>& enclosed = {});

}  // namespace fretloom
