#pragma once
// The demo lessons as handouts, golden files, and small handouts by hand.

#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <string>

#include "lesson/compile.h"
#include "outside.h"

namespace fretloom {

inline Handout demo_handout(const std::string& name) {
  const std::string text = test::bytes_of(std::filesystem::path(FRETLOOM_SOURCE_DIR) / "demos" / (name + ".toml"));
  EXPECT_FALSE(text.empty()) << name;
  return make_handout(compile_lesson(text));
}

/// Equal to tests/pack/golden/<name>; FRETLOOM_REWRITE=1 writes it anew: read the change before you keep it.
inline void expect_golden(const std::string& name, const std::string& text) {
  const auto path = std::filesystem::path(FRETLOOM_SOURCE_DIR) / "tests/pack/golden" / name;
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
    ScoreSet& set = out.ideas.emplace_back();
    for (const int k : feels) {
      Score& score = set.feels.emplace_back(lesson.ideas.front().feels.front());
      score.title = "Idea number " + std::to_string(i + 1);
      score.notes_per_beat = k;
      score.goal_bpm = goal;
    }
  }
  return out;
}

}  // namespace fretloom
