#pragma once
// What a part of a pack depends on, as text to be hashed.

#include <string>

#include "score/handout.h"
#include "score/sentences.h"

namespace fretloom {

/// Every field of an idea and its feels, so that two ideas with one text make the same of every output.
[[nodiscard]] std::string content_text(const IdeaSheet& idea);
/// All that is said of the lesson.
[[nodiscard]] std::string content_text(const LessonSentences& sentences);
/// The handout's prose and all its ideas.
[[nodiscard]] std::string content_text(const Handout& handout);

}  // namespace fretloom
