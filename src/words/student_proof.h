#pragma once
// The proof of an idea's string changes for a student.

#include <string>

#include "score/proof.h"

namespace fretloom {

/// What matters to this pick (proof_verdict.h) and why, without the word visit, and how to notice that a stroke went
/// wrong: "All five string changes are free. There are six picked notes on every string between the first and the last,
/// an even number, so each new string starts with the same stroke, a downstroke. If one starts with an upstroke, ..."
[[nodiscard]] std::string student_proof(const Proof& proof);

}  // namespace fretloom
