#pragma once
// How an idea and a feel are named in texts, plan, captions and chapters.

#include <string>

#include "score/handout.h"
#include "score/sentences.h"

namespace fretloom {

/// The sentences of an idea of the handout; empty ones where there are none.
[[nodiscard]] IdeaSentences sentences_at(const LessonSentences& sentences, std::size_t idea);

/// "2. Eight with a turn"; without a name by its rule, as heading_of has it.
[[nodiscard]] std::string idea_heading(const IdeaSheet& idea);
/// "Eight with a turn", without a name its rule.
[[nodiscard]] std::string idea_name(const IdeaSheet& idea);
/// "4 notes a beat".
[[nodiscard]] std::string feel_text(const Score& score);

}  // namespace fretloom
