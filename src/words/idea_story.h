#pragma once
// An idea told to somebody who wants to play it: what it is, how it travels, what the picking hand feels, where it
// meets the beat and where it lands. Every sentence is made from the facts of the idea and is empty where there is
// nothing to say. Spoken ones have no digit in them and no chord symbol (the screen shows the chords).

#include <string>

#include "score/handout.h"
#include "words/spoken.h"

namespace fretloom {

/// "Six notes over two strings, then the same again one string thinner. Five rounds take you from the thickest string
/// to the thinnest." Then the way back. A round is once through the rule. `before` is the idea told before this one, or
/// nullptr: what is the same again is said in fewer words.
[[nodiscard]] std::string shape_sentence(const IdeaSheet& idea, const IdeaSheet* before, Manner manner);
/// "Every string change comes after an upstroke, when your pick stands clear, so nothing is in its way."
[[nodiscard]] std::string changes_sentence(const IdeaSheet& idea, const IdeaSheet* before, Manner manner);
/// "At four notes a beat, every other round starts on the beat."
[[nodiscard]] std::string beat_sentence(const IdeaSheet& idea, const Score& score, Manner manner);
/// "Two more notes lead you to B, the 5th of Em7, on beat 1 of bar 3."
[[nodiscard]] std::string landing_sentence(const IdeaSheet& idea, const Score& score, Manner manner);
/// Beat and landing of up to three feels in one sentence; of more, which feels there are.
[[nodiscard]] std::string feels_sentence(const IdeaSheet& idea, Manner manner);
/// "Start on string six, frets twelve, fifteen, fourteen and fifteen. Then string five, frets fourteen and twelve."
/// Slurs and accents behind. Of a rule too long to be told: that its notes are on the screen.
[[nodiscard]] std::string spoken_frets(const IdeaSheet& idea);
/// What the picking hand has of the lesson, said of all ideas together.
[[nodiscard]] std::string worth_sentence(const Handout& handout);

}  // namespace fretloom
