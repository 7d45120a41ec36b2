#pragma once
// What there is to say of an idea that was compiled.

#include <string>
#include <vector>

#include "lesson/compile.h"

namespace fretloom {

/// The key that holds the idea's rule: "idea[2].cell".
[[nodiscard]] KeyPath rule_path(const Idea& idea);

/// Where a note stands in words: "note 3 of repetition 2".
[[nodiscard]] std::string note_words(const std::vector<LickNote>& notes, std::size_t i);

/// Adds warnings: blocked changes with their repair; by feel, accented notes that are avoid notes, a landing on an
/// avoid note, a blocked change in the ending.
void judge(const Lesson& lesson, const CompiledIdea& compiled, std::vector<Finding>& findings);

}  // namespace fretloom
