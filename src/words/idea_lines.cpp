#include "words/idea_lines.h"

#include <algorithm>

#include "base/text.h"
#include "words/english.h"
#include "words/note_lists.h"

namespace fretloom {

namespace {

/// A sentence of ours within another: they start with an ASCII letter and never with a name.
std::string small_start(const std::string& sentence) {
  return lower(sentence.substr(0, 1)) + sentence.substr(std::min<std::size_t>(1, sentence.size()));
}

}  // namespace

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

std::string notes_phrase(const IdeaSheet& idea) {
  std::vector<std::string> feels;
  for (const Score& score : idea.feels) feels.push_back(std::to_string(score.notes_per_beat));
  return counted(static_cast<std::size_t>(idea.rule.group()), "note") + ", " + listed(feels) + " to a beat";
}

std::string tempos_text(const IdeaSheet& idea) {
  const std::string goal = tempo_text(idea.goal_bpm) + " beats a minute";
  return idea.slow_bpm == idea.goal_bpm ? goal : tempo_text(idea.slow_bpm) + " to " + goal;
}

std::string rule_sentence(const IdeaSentences& sentences) {
  return sentences.rule.empty() ? "" : "The rule: " + small_start(sentences.rule);
}

std::string carry_sentence(const IdeaSentences& sentences) {
  return sentences.idea.empty() ? "" : "The rule is " + small_start(sentences.idea);
}

std::string opening_sentence(const LessonSentences& sentences) {
  return sentences.lesson.empty() ? "" : "This lesson is " + small_start(sentences.lesson);
}

std::string first_time_sentence(const IdeaSheet& idea) {
  const std::vector<ScoreNote> notes = first_repetition(idea.notes);
  if (notes.empty()) return "";
  return "The first time through: " + frets_text(notes) + ", with strokes " + strokes_text(notes) + ".";
}

std::string second_time_sentence(const IdeaSheet& idea) {
  const auto second =
      std::find_if(idea.notes.begin(), idea.notes.end(), [](const ScoreNote& note) { return note.repeat == 2; });
  if (second == idea.notes.end()) return "";
  return "The second time through starts on string " + std::to_string(second->string) + " at fret " +
         std::to_string(second->fret) + ".";
}

std::string reading_help(const Handout& handout) {
  std::vector<ScoreNote> notes;
  for (const IdeaSheet& idea : handout.ideas) {
    const std::vector<ScoreNote> first = first_repetition(idea.notes);
    notes.insert(notes.end(), first.begin(), first.end());
  }
  if (notes.empty()) return "";
  const std::string string = std::to_string(notes.front().string);
  const std::string fret = std::to_string(notes.front().fret);
  const bool has_slurs =
      std::any_of(notes.begin(), notes.end(), [](const ScoreNote& note) { return note.attack != Attack::pick; });
  return "String 1 is the thinnest; " + string + ": " + fret + " means string " + string + ", fret " + fret +
         ". D is a downstroke, U an upstroke" +
         (has_slurs ? "; h, p and s before a fret are a hammer-on, a pull-off and a slide, which take no stroke (-)."
                    : ".");
}

std::string landing_place_sentence(const Score& score) {
  const ScoreNote* note = landing_of(score);
  if (note == nullptr) return "";
  return "The landing note lies on string " + std::to_string(note->string) + " at fret " + std::to_string(note->fret) +
         (note->stroke ? " and takes " + a_stroke(*note->stroke) : "") + ".";
}

}  // namespace fretloom
