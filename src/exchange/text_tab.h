#pragma once
// Plain-text tab: strokes above six (or one to twelve) dashed lines, counts below.
//
//     D U D U D U D U
//   e|-----------------
//   B|-----------------
//   ...
//   E|12-15-14-15-----
//     1 e + a 2 e + a

#include <string>

#include "score/score.h"

namespace fretloom {

struct TextTabOptions {
  std::size_t width = 80;  ///< columns; a bar wider than this stands on a system of its own
};

/// One score: systems of whole bars. Slurs are written h, p and s before the fret of their second
/// note, accents ">" in a line of their own where there are any.
[[nodiscard]] std::string text_tab(const Score& score, const TextTabOptions& options = {});

/// A whole lesson: prose, then each idea with its rule, layout, proof and one tab a feel.
[[nodiscard]] std::string text_handout(const Handout& handout, const TextTabOptions& options = {});

}  // namespace fretloom
