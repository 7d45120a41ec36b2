#pragma once
// An answer as a lesson.

#include <string>

#include "insight/explain.h"

namespace fretloom {

/// A lesson file that compiles to the answer's notes: whole repetitions, wrong notes as the rule has them, without an
/// ending unless the phrase has one. Wrong notes that lie on the right string stand as edits in a comment, to be kept
/// by taking its # away.
[[nodiscard]] std::string lesson_text(const Answer& answer);

}  // namespace fretloom
