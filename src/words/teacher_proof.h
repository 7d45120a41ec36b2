#pragma once
// The proof of an idea's string changes for a teacher. Nobody reads a fact back out of it. (The parity sentence of
// `notes --json` is made in hand/proof.h.)

#include "lesson/compile.h"
#include "words/sentence.h"

namespace fretloom {

/// What matters to this pick (proof_verdict.h), then why: the parity with its visits and counter-example, or that the
/// pick stands clear after both strokes, or the changes as computed; then what mends it (repair_sentence.h).
[[nodiscard]] Sentence teacher_proof(const Idea& idea, const CompiledIdea& compiled);

}  // namespace fretloom
