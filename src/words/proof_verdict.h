#pragma once
// What the teacher's and the student's proof say alike.

#include <string>
#include <vector>

#include "score/proof.h"

namespace fretloom {

/// What matters to this pick: "All five string changes are free.", "Two of the five string changes are blocked, the
/// first from string 6 to string 5 after note 3."
[[nodiscard]] std::string verdict(const Proof& proof);

/// The picked notes of each visit.
[[nodiscard]] std::vector<int> picked_counts(const std::vector<Visit>& visits);
/// "4 6 6 2"; eight and more are folded: "4, 6 x 12, 2". Says every number in order.
[[nodiscard]] std::string folded(const std::vector<int>& counts);

}  // namespace fretloom
