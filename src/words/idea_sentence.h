#pragma once
// How an idea is carried and played, in a few sentences.

#include <string>

#include "lesson/compile.h"
#include "words/sentence.h"

namespace fretloom {

/// "Carried **one string thinner** each time, **as far as the neck goes** (five times), at **4** and **6** notes a
/// beat, picked **alternately**, from **a downstroke**." Then what is not at its default: the start, notes changed by
/// hand, pinned fingers, no ending, and what differs from the lesson. How it ends is said feel by feel
/// (ending_sentence.h).
[[nodiscard]] Sentence idea_sentence(const CompiledLesson& lesson, const CompiledIdea& idea);

// The values as they read.

/// "one string thinner", "two strings thicker", "in place".
[[nodiscard]] std::string carry_strings_words(int strings);
/// "one scale step up", "two scale steps down", "in place".
[[nodiscard]] std::string carry_steps_words(int steps);
/// "as far as the neck goes"; "three times" for a number that is given.
[[nodiscard]] std::string repeats_words(const std::optional<int>& repeats);
/// "without a way back", "and back note by note", "and back in a mirror".
[[nodiscard]] std::string back_words(Back back);
/// "alternately", "grid picking", "economy picking".
[[nodiscard]] std::string picking_words(Picking picking);
/// "one beat before the first bar line", "on beat 2 of the first bar".
[[nodiscard]] std::string start_beat_words(const Rational& beat, const Meter& meter);
/// "the second note".
[[nodiscard]] std::string start_ordinal_words(int ordinal);
/// "string 4".
[[nodiscard]] std::string string_words(int string);

}  // namespace fretloom
