#pragma once
// One idea of a lesson.

#include "lesson/lesson.h"
#include "lesson/table_reader.h"

namespace fretloom {

/// Reads an idea's table over the lesson's settings. idea.sound is false if anything in it, or in a
/// setting that it takes over, is in error.
[[nodiscard]] Idea read_idea(const toml::table& table, const std::string& path, const Settings& settings,
                             const SourceIndex& index, Diagnostics& findings, Level unknown_key_level);

}  // namespace fretloom
