#pragma once
// A finding as the command prints it: the idea by number and name, and the bar, stand before the message.

#include <string>
#include <string_view>

#include "base/diagnostics.h"
#include "lesson/lesson.h"

namespace fretloom {

/// "idea 3, Threes, bar 2": where a finding speaks of an idea; the name is left out where it has none, the bar where
/// the finding has none. Empty for a finding of the whole lesson.
[[nodiscard]] std::string idea_words(const Finding& finding, const Lesson& lesson);

/// The line of to_line, with the idea's words before the message:
/// `file:5:8: warning: idea 3, Threes, bar 2: 3 of 5 string changes are blocked (repair: ...)`. `lesson` is nullptr
/// where the file is unreadable.
[[nodiscard]] std::string finding_line(const Finding& finding, std::string_view file, const Lesson* lesson);

}  // namespace fretloom
