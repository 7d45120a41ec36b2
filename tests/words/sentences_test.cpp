// The sentences of lesson, idea, proof and ending, and the spans that know their key.

#include <gtest/gtest.h>

#include "words/demo.h"
#include "words/ending_sentence.h"
#include "words/idea_sentence.h"
#include "words/lesson_sentence.h"
#include "words/proof_sentences.h"
#include "words/rule_words.h"

namespace fretloom {
namespace {

std::string all_sentences(const CompiledLesson& lesson) {
  std::string text = marked(lesson_sentence(*lesson.lesson)) + "\n";
  for (const CompiledIdea& compiled : lesson.ideas) {
    const Idea& idea = lesson.idea(compiled);
    text += "\n" + std::to_string(idea.number) + ". " + idea.name + "\n" + rule_words(idea.lick.rule) + "\n" +
            marked(idea_sentence(lesson, compiled)) + "\n" + marked(teacher_proof(idea, compiled)) + "\n" +
            student_proof(compiled.proof) + "\n";
    for (const Feel& feel : compiled.feels) {
      const Sentence ending = ending_sentence(lesson, compiled, feel);
      if (!ending.empty()) text += marked(ending) + "\n";
    }
  }
  return text;
}

TEST(Sentences, EqualTheGoldenFiles) {
  for (const std::string& name : k_demos)
    expect_golden(name + ".sentences.txt", all_sentences(compile_lesson(demo_text(name))));
}

}  // namespace
}  // namespace fretloom
