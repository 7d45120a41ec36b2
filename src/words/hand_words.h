#pragma once
// A note of a rule as it is said to somebody who moves it by hand and may not see it.

#include <cstddef>
#include <string>

#include "lick/expand.h"

namespace fretloom {

/// "Note 3 of 6: string note 2, string 6, fret 14, hammered on, accented, two notes long."; of a sequence "scale step
/// 2"; "Note 2 of 3: a rest." Where it lies is the first repetition's. Precondition: the lick can be expanded.
[[nodiscard]] std::string token_said(const Ground& ground, const Lick& lick, std::size_t token);

}  // namespace fretloom
