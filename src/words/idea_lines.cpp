#include "words/idea_lines.h"

#include <algorithm>

#include "base/text.h"
#include "words/english.h"

namespace fretloom {

IdeaSentences sentences_at(const LessonSentences& sentences, std::size_t idea) {
  return idea < sentences.ideas.size() ? sentences.ideas[idea] : IdeaSentences{};
}

std::string idea_heading(const IdeaSheet& idea) { return plain_line(heading_of(idea)); }

std::string idea_name(const IdeaSheet& idea) { return plain_line(title_of(idea)); }

std::string feel_text(const Score& score) {
  return counted(static_cast<std::size_t>(std::max(score.notes_per_beat, 0)), "note") + " a beat";
}

}  // namespace fretloom
