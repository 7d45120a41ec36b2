#pragma once
// Lines about ideas that the description, the script, the e-mail and the plan share. Each is one sentence or phrase, or
// nothing where there is nothing to say.

#include <string>

#include "score/handout.h"
#include "score/sentences.h"

namespace fretloom {

/// The sentences of an idea of the handout; empty ones where there are none.
[[nodiscard]] IdeaSentences sentences_at(const LessonSentences& sentences, std::size_t idea);

/// "2. Eight with a turn", "2." without a name.
[[nodiscard]] std::string idea_heading(const IdeaSheet& idea);
/// "Eight with a turn", "Idea 2" without a name.
[[nodiscard]] std::string idea_name(const IdeaSheet& idea);
/// "4 notes a beat".
[[nodiscard]] std::string feel_text(const Score& score);
/// "6 notes, 4 and 6 to a beat".
[[nodiscard]] std::string notes_phrase(const IdeaSheet& idea);
/// "60 to 120 beats a minute", "60 beats a minute".
[[nodiscard]] std::string tempos_text(const IdeaSheet& idea);
/// "The rule: string notes 1, 3, 2 and 3, then, one string thinner, 2 and 1."
[[nodiscard]] std::string rule_sentence(const IdeaSentences& sentences);
/// "The rule is carried one string thinner each time, ..."
[[nodiscard]] std::string carry_sentence(const IdeaSentences& sentences);
/// "This lesson is in E dorian, ..."
[[nodiscard]] std::string opening_sentence(const LessonSentences& sentences);
/// "The first time through: 6: 12 15 14 15 | 5: 14 12, with strokes D U D U | D U."
[[nodiscard]] std::string first_time_sentence(const IdeaSheet& idea);
/// "The second time through starts on string 5 at fret 12."
[[nodiscard]] std::string second_time_sentence(const IdeaSheet& idea);
/// How to read frets and strokes, with the signs that this handout's notes need.
[[nodiscard]] std::string reading_help(const Handout& handout);
/// "The landing note lies on string 1 at fret 19 and takes a downstroke." Nothing without an ending.
[[nodiscard]] std::string landing_place_sentence(const Score& score);

}  // namespace fretloom
