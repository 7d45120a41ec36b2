#pragma once
// One idea of a lesson.

#include "lesson/lesson.h"
#include "lesson/table_reader.h"

namespace fretloom {

/// Reads idea `number` (from 1) over the lesson's settings. Nothing if anything in it, or in a setting that it takes
/// over, is in error.
[[nodiscard]] std::optional<Idea> read_idea(const toml::table& table, int number, const SettingsDraft& settings,
                                            const SourceIndex& index, Diagnostics& findings, Level unknown_key_level);

}  // namespace fretloom
