#pragma once
// The demo lessons, golden files, and small handouts by hand.

#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <string>
#include <vector>

#include "lesson/compile.h"
#include "outside.h"
#include "words/sentences_of.h"

namespace fretloom {

inline const std::vector<std::string> k_demos = {"bass-steps",        "climbing-sixes", "jig-in-six-eight",
                                                 "low-string-gallop", "odd-ones-out",   "pentatonic-pairs"};

inline std::string demo_text(const std::string& name) {
  const std::string text = test::bytes_of(std::filesystem::path(FRETLOOM_SOURCE_DIR) / "demos" / (name + ".toml"));
  EXPECT_FALSE(text.empty()) << name;
  return text;
}

inline Handout demo_handout(const std::string& name) { return make_handout(compile_lesson(demo_text(name))); }

/// A lesson with all that the texts are made of.
struct Told {
  Handout handout;
  LessonSentences sentences;
};

inline Told told(const std::string& text) {
  const CompiledLesson lesson = compile_lesson(text);
  Told out{make_handout(lesson), {}};
  out.sentences = sentences_of(lesson, out.handout);
  return out;
}

/// Equal to tests/words/golden/<name>; FRETLOOM_REWRITE=1 writes it anew: read the change before you keep it.
inline void expect_golden(const std::string& name, const std::string& text) {
  const auto path = std::filesystem::path(FRETLOOM_SOURCE_DIR) / "tests/words/golden" / name;
  if (std::getenv("FRETLOOM_REWRITE") != nullptr) test::put_bytes(path, text);
  ASSERT_TRUE(std::filesystem::exists(path)) << name;
  EXPECT_EQ(text, test::bytes_of(path)) << name;
}

/// A handout of `ideas` ideas with one short feel each for every count in `feels`.
inline Handout small_handout(std::size_t ideas, const std::vector<int>& feels = {4},
                             const Rational& goal = Rational(120)) {
  const Handout lesson = demo_handout("climbing-sixes");
  Handout out = lesson;
  out.ideas.clear();
  for (std::size_t i = 0; i < ideas; ++i) {
    IdeaSheet& idea = out.ideas.emplace_back(lesson.ideas.front());
    idea.number = static_cast<int>(i) + 1;
    idea.name = "Idea number " + std::to_string(i + 1);
    idea.goal_bpm = goal;
    idea.feels.clear();
    for (const int k : feels) idea.feels.emplace_back(lesson.ideas.front().feels.front()).notes_per_beat = k;
  }
  return out;
}

}  // namespace fretloom
