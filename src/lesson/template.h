#pragma once
// The lesson that `fretloom new` writes.

#include <string>
#include <string_view>

#include "base/result.h"

namespace fretloom {

/// A small commented lesson, free of findings, in the given key; the layout starts at the legal fret
/// nearest to the fifth. Error: the key is not understood.
[[nodiscard]] Result<std::string> new_lesson(std::string_view title, std::string_view key);

}  // namespace fretloom
