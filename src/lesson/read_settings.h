#pragma once
// The musical keys of the top level or of an idea.

#include "lesson/lesson.h"
#include "lesson/table_reader.h"

namespace fretloom {

/// Reads the musical keys that stand in the table over `settings` (an idea starts from the lesson's).
/// A value in error keeps what was there and is entered in settings.broken. Returns true if any
/// musical key stands in the table.
bool read_settings(TableReader& table, Settings& settings, Diagnostics& findings, Level unknown_key_level);

/// Makes layout and vamp from the settings. `path` is "" or "idea[2]". Findings: a layout off the
/// neck, a string that needs more reach than the hand has, a vamp that does not fit its bars.
void resolve(Settings& settings, const std::string& path, const SourceIndex& index, Diagnostics& findings);

}  // namespace fretloom
