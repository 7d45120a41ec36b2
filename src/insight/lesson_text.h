#pragma once
// An answer as a lesson.

#include <string>

#include "insight/explain.h"
#include "insight/home.h"
#include "lesson/edit_ideas.h"

namespace fretloom {

/// A lesson file that compiles to the answer's notes: whole repetitions, wrong notes as the rule has them, without an
/// ending unless the phrase has one. Wrong notes that lie on the right string stand as edits in a comment, to be kept
/// by taking its # away.
[[nodiscard]] std::string lesson_text(const Answer& answer);

/// The answer as an idea of a lesson that is open: its rule, and of all else only what differs from the lesson and its
/// defaults.
[[nodiscard]] std::vector<IdeaKey> idea_keys(const Answer& answer, const Home& home);

}  // namespace fretloom
