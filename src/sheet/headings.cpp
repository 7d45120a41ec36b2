#include "sheet/headings.h"

#include <algorithm>

#include "base/text.h"

namespace fretloom::sheet {

std::string notes_a_beat(const Score& score) {
  return counted(static_cast<std::size_t>(std::max(0, score.notes_per_beat)), "note") + " a beat";
}

}  // namespace fretloom::sheet
