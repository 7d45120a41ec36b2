#pragma once
// What mends the blocked changes of an idea.

#include "lesson/compile.h"
#include "words/sentence.h"

namespace fretloom {

/// "**Hammer on to the second note** of every three, and all are free; or **start with an upstroke**, and two stay
/// blocked." Spans carry the value to set. Up to two other rules with as few slurs are named, and how many slurs would
/// do note by note where that is fewer. Where nothing frees them all, why. Empty where no change is blocked.
[[nodiscard]] Sentence repair_sentence(const Idea& idea, const CompiledIdea& compiled);

}  // namespace fretloom
