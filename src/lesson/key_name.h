#pragma once
// What a key of the lesson file is called in a sentence.

#include <string>

#include "base/diagnostics.h"

namespace fretloom {

/// tempo.goal: "the goal tempo"; idea[2].edits[1].fret: "the fret of an edit". A key without a name of its own is
/// called by its path from the table it stands in: "layout.strating".
[[nodiscard]] std::string key_name(const KeyPath& key);

}  // namespace fretloom
