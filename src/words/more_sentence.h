#pragma once
// What the sentences leave unsaid because it is at its default: it waits behind "and more".

#include "lesson/compile.h"
#include "words/sentence.h"

namespace fretloom {

/// Together with lesson_sentence this has every musical key: "There is a capo at **no fret**. ... Its notes lie
/// **string by string**. ..."
[[nodiscard]] Sentence lesson_more(const Lesson& lesson);

/// The same for an idea: carry, start, way back, notes and fingers set by hand, ending; then the lesson's keys, each
/// as it would stand in this idea alone.
[[nodiscard]] Sentence idea_more(const CompiledLesson& lesson, const CompiledIdea& idea);

}  // namespace fretloom
