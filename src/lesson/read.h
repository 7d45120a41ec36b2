#pragma once
// Reads a lesson file's text.

#include <optional>
#include <string_view>
#include <vector>

#include "lesson/lesson.h"

namespace fretloom {

/// A lesson and what there is to say about it.
struct LessonReading {
  std::optional<Lesson> lesson;  ///< nothing if the text is no TOML document at all (unreadable)
  std::vector<Finding> findings;
};

/// Never fails otherwise: a bad value is a finding (line, column, legal range, nearest repair) and
/// keeps its default; ideas that depend on it are not sound. Unreadable: more than 1 MiB, a NUL byte,
/// text that is not UTF-8, TOML syntax errors, nesting deeper than 64.
[[nodiscard]] LessonReading read_lesson(std::string_view text);

}  // namespace fretloom
