#pragma once
// The music in words, for readers who hear the page.

#include <string>

#include "score/score.h"

namespace fretloom::sheet {

/// "bar 1 beat 2+1/4: C#4, string 5 fret 16, upstroke, finger 4".
[[nodiscard]] std::string note_words(const Score& score, const ScoreNote& note);
/// Title, key, and for every idea its name, rule and length at every feel.
[[nodiscard]] std::string handout_words(const Handout& handout);

}  // namespace fretloom::sheet
