#pragma once
// The proof of a phrase's string changes (score/proof.h says what it holds).

#include <string>
#include <vector>

#include "hand/strokes.h"
#include "score/proof.h"

namespace fretloom {

/// `changes` are those of `notes`, judged by `clear`.
[[nodiscard]] Proof prove(const std::vector<LickNote>& notes, std::vector<Change> changes, Picking picking,
                          Clear clear);

/// The parity of the string changes in a sentence or two, with every visit's count: the `proof.sentence` of
/// `notes --json`. Under grid and economy picking the changes as computed.
[[nodiscard]] std::string parity_sentence(const Proof& proof);

}  // namespace fretloom
