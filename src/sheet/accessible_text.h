#pragma once
// The music as text, for readers who hear the page.

#include <string>

#include "score/handout.h"
#include "score/sentences.h"

namespace fretloom::sheet {

/// "bar 1 beat 2+1/4: C#4, string 5 fret 16, upstroke, finger 4".
[[nodiscard]] std::string said_note(const Meter& meter, const ScoreNote& note);
/// "Climbing sixes by Demo Teacher, E dorian. Notation over tab."
[[nodiscard]] std::string said_handout(const Handout& handout);
/// "Idea 2, Pull and roll." and its rule.
[[nodiscard]] std::string said_idea(const IdeaSheet& idea, const IdeaSentences& sentences);
/// "4 notes a beat: 30 notes."
[[nodiscard]] std::string said_feel(const Score& score);

}  // namespace fretloom::sheet
