#include "words/idea_lines.h"

#include <algorithm>

#include "base/text.h"
#include "words/english.h"

namespace fretloom {

IdeaSentences sentences_at(const LessonSentences& sentences, std::size_t idea) {
  return idea < sentences.ideas.size() ? sentences.ideas[idea] : IdeaSentences{};
}

std::string idea_heading(const IdeaSheet& idea) {
  const std::string name = plain_line(idea.name);
  return std::to_string(idea.number) + "." + (name.empty() ? "" : " " + name);
}

std::string idea_name(const IdeaSheet& idea) {
  const std::string name = plain_line(idea.name);
  return name.empty() ? "Idea " + std::to_string(idea.number) : name;
}

std::string feel_text(const Score& score) {
  return counted(static_cast<std::size_t>(std::max(score.notes_per_beat, 0)), "note") + " a beat";
}

}  // namespace fretloom
