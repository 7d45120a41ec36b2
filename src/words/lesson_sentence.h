#pragma once
// The lesson in a sentence or two.

#include "words/settings_words.h"

namespace fretloom {

/// "In **E dorian**, on **six strings in standard tuning**, **three notes a string** from **fret 12**, over
/// **Em7 | A7** in **4/4**, from **60** up to **120** beats a minute. The pick stands clear after **upstrokes**." What
/// stands at its default (capo, frets, scale length, reach, rhythm, swing) is left unsaid.
[[nodiscard]] Sentence lesson_sentence(const Lesson& lesson);

/// What differs from the lesson in an idea: "For this idea alone: in **A aeolian**, over **Am7 | Fmaj7**." Empty where
/// nothing does.
[[nodiscard]] Sentence override_sentence(const Lesson& lesson, const Idea& idea);

}  // namespace fretloom
