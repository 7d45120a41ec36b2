#pragma once
// The repair of a finding or of a refused value, as a word to press.

#include <string>
#include <string_view>

#include "base/diagnostics.h"

namespace fretloom {

/// What pressing it does: "Make the lowest fret 19", "Make it E dorian", "Make the tempo { slow = 60, goal = 90 }".
/// `repair` is a value for the key `where`, or `key = value` for one beside it, as findings have it; empty gives empty.
[[nodiscard]] std::string repair_words(const KeyPath& where, std::string_view repair);

}  // namespace fretloom
