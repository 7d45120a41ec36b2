#pragma once
// The proof of an idea's string changes as texts: the teacher's and the student's. (The parity sentence of
// `notes --json` is made in hand/proof.h.) Nobody reads a fact back out of them.

#include <string>
#include <vector>

#include "lesson/compile.h"
#include "words/sentence.h"

namespace fretloom {

/// What matters to this pick (all free, or how many are blocked and which is the first), then why: the parity with its
/// visits and counter-example, or that the pick stands clear after both strokes, or the changes as computed; then what
/// mends it, as words that carry the value to set: "**Hammer on to the second note** of every three, and all are free;
/// or **start with an upstroke**, and two stay blocked."
[[nodiscard]] Sentence teacher_proof(const Idea& idea, const CompiledIdea& compiled);

/// The same for a student, without the word visit, and how to notice that a stroke went wrong.
[[nodiscard]] std::string student_proof(const Proof& proof);

/// "All five string changes are free.", "Two of the five string changes are blocked, the first from string 6 to string
/// 5 after note 3."
[[nodiscard]] std::string verdict(const Proof& proof);

/// "4 6 6 2"; eight and more are folded: "4, 6 x 12, 2". Says every number in order.
[[nodiscard]] std::string folded(const std::vector<int>& counts);

}  // namespace fretloom
