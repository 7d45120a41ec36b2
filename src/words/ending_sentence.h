#pragma once
// How an idea ends at one feel.

#include <string>

#include "lesson/compile.h"
#include "words/sentence.h"

namespace fretloom {

/// "At 4 notes a beat it ends on B, **the 5th of Em7**, in **bar 3 on beat 1**, **after two more notes**." A late start
/// is said first, a cut of the last repetition as well; a note that is held, behind; then the ending's blocked changes.
/// The feel is named where the idea has several. Empty without an ending.
[[nodiscard]] Sentence ending_sentence(const CompiledLesson& lesson, const CompiledIdea& idea, const Feel& feel);

/// "the 5th of Em7", "the flat 7th of A7", "a tension over A7", "an avoid note over E7", "outside the key over E7".
[[nodiscard]] std::string harmony_words(const Harmony& harmony, const Chord& chord);
/// "fill the gap with notes", "hold the last note", "start later", "cut the last time short".
[[nodiscard]] std::string ending_kind_words(EndingKind kind);
/// "any beat", "a strong beat", "the first beat of a bar".
[[nodiscard]] std::string ending_on_words(EndingOn on);

}  // namespace fretloom
