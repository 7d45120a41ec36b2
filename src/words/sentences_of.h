#pragma once
// The sentences of a lesson for the rooms that print them.

#include "lesson/compile.h"
#include "score/sentences.h"

namespace fretloom {

/// For each idea of the handout, which may hold fewer than the lesson. Precondition: they are the lesson's own; all
/// empty but for the cautions where the lesson is unreadable.
[[nodiscard]] LessonSentences sentences_of(const CompiledLesson& lesson, const Handout& handout);

}  // namespace fretloom
