#pragma once
// What a row of ideas shows between them.

#include "sheet/passage.h"

namespace fretloom::sheet {

/// Room behind a line's last bar line for the key and the meter that the next line changes to; 0 where both stay.
[[nodiscard]] double courtesy_width(const PassageScore& now, const PassageScore& next, const MusicFont& font);

}  // namespace fretloom::sheet
