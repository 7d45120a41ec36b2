#pragma once
// What a change would do, for the choices of a word.

#include <string>

#include "lesson/compile.h"

namespace fretloom {

/// "three flats, carried four times, two string changes blocked": what differs that the word itself does not say, of
/// the whole lesson for a key of the lesson, of one idea for its own. Key signatures are told for every key; then
/// rounds, string changes, where the first feel lands, and the first new finding. Empty where nothing of it differs.
/// `now` and `then` are the lesson before and after a value was put at `key`; both are readable.
[[nodiscard]] std::string effect_words(const CompiledLesson& now, const CompiledLesson& then, const KeyPath& key);

}  // namespace fretloom
