#pragma once
// The musical keys of the top level or of an idea.

#include "lesson/lesson.h"
#include "lesson/resolve.h"
#include "lesson/table_reader.h"

namespace fretloom {

/// Reads the musical keys that stand in the table over `draft` (an idea starts from the lesson's; of
/// tonic and scale it may give one alone). A value in error keeps what was there and is not sound.
Given read_settings(TableReader& table, SettingsDraft& draft, Diagnostics& findings, Level unknown_key_level);

}  // namespace fretloom
