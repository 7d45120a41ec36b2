#pragma once
// The proof of a phrase's string changes.
//
// Merge the visits p1..pm, counting picked notes only. Under alternate picking the stroke before
// change i follows from p1 + ... + pi, so all changes follow the same stroke iff p2..p(m-1) are even;
// looped with two or more visits, iff every visit of the cycle is even (the last and the first are
// one visit where they lie on one string).

#include <optional>
#include <string>
#include <vector>

#include "hand/strokes.h"

namespace fretloom {

struct Proof {
  std::string sentence;
  /// Whether all changes of the looped phrase follow the same stroke; nothing under grid and economy
  /// picking, where only the computed changes are stated.
  std::optional<bool> looped;
  /// after_note of the first change that follows another stroke than the first change (alternate only).
  std::optional<int> counter_example;
};

[[nodiscard]] Proof prove(const std::vector<LickNote>& notes, const std::vector<Change>& changes, Picking picking);

}  // namespace fretloom
