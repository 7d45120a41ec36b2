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

#include "base/result.h"
#include "score/handout.h"
#include "score/sentences.h"

namespace fretloom {

struct TextTabOptions {
  std::size_t width = 80;  ///< columns; a bar wider than this stands on a system of its own
};

/// An idea at one feel: systems of whole bars, under "Capo 2" where there is one (frets count from it, strings are
/// named as at the nut). A slurred note has h, p or s before its fret and no stroke; chord symbols stand
/// above, accents (">") in a line of their own where there are any. Precondition: fault_of finds nothing.
[[nodiscard]] std::string text_tab(const IdeaSheet& idea, const Score& score, const TextTabOptions& options = {});

/// A whole lesson: prose, then each idea with its rule and proof, then each feel with its tab and its ending. Key,
/// tuning and layout stand where they change. Sentences that are not given leave no line.
/// Error: the handout's fault, the idea named.
[[nodiscard]] Result<std::string> text_handout(const Handout& handout, const LessonSentences& sentences = {},
                                               const TextTabOptions& options = {});

}  // namespace fretloom
