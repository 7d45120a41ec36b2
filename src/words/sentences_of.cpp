#include "words/sentences_of.h"

#include <algorithm>

#include "words/cautions.h"
#include "words/ending_sentence.h"
#include "words/idea_sentence.h"
#include "words/lesson_sentence.h"
#include "words/rule_words.h"
#include "words/short_repair.h"
#include "words/student_proof.h"

namespace fretloom {

namespace {

/// The lesson's feel that a score was made at.
const Feel* feel_of(const CompiledIdea& idea, const Score& score) {
  const auto found = std::find_if(idea.feels.begin(), idea.feels.end(),
                                  [&](const Feel& feel) { return feel.notes_per_beat == score.notes_per_beat; });
  return found == idea.feels.end() ? nullptr : &*found;
}

IdeaSentences sentences_of(const CompiledLesson& lesson, const CompiledIdea& idea, const IdeaSheet& sheet) {
  IdeaSentences out;
  out.rule = rule_words(sheet.rule);
  out.idea = plain(idea_sentence(lesson, idea));
  out.proof = student_proof(sheet.proof);
  out.repair = short_repair(sheet);
  for (const Score& score : sheet.feels) {
    const Feel* feel = feel_of(idea, score);
    out.endings.push_back(feel == nullptr ? "" : plain(ending_sentence(lesson, idea, *feel)));
  }
  return out;
}

}  // namespace

LessonSentences sentences_of(const CompiledLesson& lesson, const Handout& handout) {
  LessonSentences out;
  out.cautions = cautions_paragraph();
  if (!lesson.lesson) return out;
  out.lesson = plain(lesson_sentence(*lesson.lesson));
  for (const IdeaSheet& sheet : handout.ideas) {
    const auto idea = std::find_if(lesson.ideas.begin(), lesson.ideas.end(),
                                   [&](const CompiledIdea& c) { return lesson.idea(c).number == sheet.number; });
    out.ideas.push_back(idea == lesson.ideas.end() ? IdeaSentences{} : sentences_of(lesson, *idea, sheet));
  }
  return out;
}

}  // namespace fretloom
