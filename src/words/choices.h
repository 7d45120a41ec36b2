#pragma once
// What else a word of a sentence could say.

#include <string>
#include <string_view>
#include <vector>

#include "lesson/compile.h"

namespace fretloom {

struct Choice {
  std::string value;  ///< TOML text, for set_value
  std::string says;   ///< how the sentence would read it
  std::string does;   ///< what else would differ (effect.h); empty where nothing does

  friend bool operator==(const Choice&, const Choice&) = default;
};

/// The choices that are legal for a key: set in the text, each gives a lesson without an error that is not there now.
/// Words of a closed list come whole, numbers near the value, of a layout's `from` every legal fret, of tunings those
/// with as many strings first; what stands now is among them where it can be written again. The rule's are those that
/// mend its strokes. `lesson` is compiled from `text`. Empty for a key that no sentence shows, and where the lesson
/// cannot be edited. Every choice is tried by compiling the whole lesson: about as many compilations as choices.
[[nodiscard]] std::vector<Choice> choices(std::string_view text, const CompiledLesson& lesson, const KeyPath& key);

/// What `choices` tries: the same list before anything is compiled, with what is not legal here still in it and nothing
/// at `does`.
[[nodiscard]] std::vector<Choice> proposals(const CompiledLesson& lesson, const KeyPath& key);

}  // namespace fretloom
