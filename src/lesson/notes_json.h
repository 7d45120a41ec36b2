#pragma once
// `notes --json`: the contract of docs/notes.schema.json.

#include <optional>
#include <string>

#include "lesson/everywhere.h"

namespace fretloom {

/// The compiled lesson as JSON, indented by two spaces, with a newline at the end. With `idea` (from
/// 1) only that one. An unreadable lesson gives only its findings.
[[nodiscard]] std::string notes_json(const CompiledLesson& compiled, std::optional<int> idea = std::nullopt);

/// One idea over the whole neck: {idea, name, placements: [{key, from, home, playable, reason, repeats,
/// blocked, reach_mm}]}.
[[nodiscard]] std::string everywhere_json(const CompiledLesson& compiled, std::optional<int> idea = std::nullopt);

/// Only the findings, in the same form.
[[nodiscard]] std::string findings_json(const CompiledLesson& compiled);

}  // namespace fretloom
