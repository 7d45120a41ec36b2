#pragma once
// Plain-text tab: strokes above the dashed lines, counts below.
//
//   Bar 1
//      Em7
//      D  U     U
//   e|------------------|
//   B|------------------|
//   G|------------------|
//   D|------------------|
//   A|------------------|
//   E|-12-15p14-15------|
//      1  e  +  a  2  3
//
// Distance is time from the first note to the last: a rest or a held note leaves its columns open.

#include <string>

#include "score/score.h"

namespace fretloom {

struct TextTabOptions {
  std::size_t width = 80;  ///< columns; a bar wider than this stands on a system of its own
};

/// One score: systems of whole bars, under "Capo 2" where there is one (frets count from it, strings are
/// named as at the nut). A slurred note has h, p or s before its fret and no stroke; chord symbols stand
/// above, accents (">") in a line of their own where there are any.
[[nodiscard]] std::string text_tab(const Score& score, const TextTabOptions& options = {});

/// A whole lesson: prose, then each idea with its rule, layout, proof and one tab a feel.
[[nodiscard]] std::string text_handout(const Handout& handout, const TextTabOptions& options = {});

}  // namespace fretloom
