#pragma once
// What somebody types over a word of a sentence, as a value of the lesson file.

#include <string>
#include <string_view>

#include "lesson/compile.h"

namespace fretloom {

/// The TOML text of what was typed at a key. It may be what a choice says ("two strings thinner", "as far as the neck
/// goes"), the file's own word for it ("fit"), or a value: "g dorian", "fret 7", "4 and 6", "A1 E2 A2 D3 G3 B3 E4".
/// Case does not matter for choices. Total: what is no number where one should stand is given as a text, so that
/// set_value says what is wrong with it.
[[nodiscard]] std::string typed_value(const CompiledLesson& lesson, const KeyPath& key, std::string_view typed);

}  // namespace fretloom
