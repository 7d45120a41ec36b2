// The lesson to start from.

#include "lesson/template.h"

#include <gtest/gtest.h>

#include "lesson/compile.h"

namespace fretloom {
namespace {

/// Whether the template of a key compiles without a word against it.
bool is_clean(const std::string& key) {
  const auto text = new_lesson("A \"new\" one", key);
  EXPECT_TRUE(text.ok()) << key;
  const CompiledLesson lesson = compile_lesson(*text);
  EXPECT_FALSE(lesson.has_errors()) << key;
  EXPECT_EQ(lesson.ideas.size(), 1U) << key;
  return lesson.findings.empty();
}

TEST(NewLesson, OfEveryUsualKeyHasNoFinding) {
  for (const char* tonic : {"C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}) {
    for (const char* mode :
         {"", "minor", "dorian", "phrygian", "lydian", "mixolydian", "aeolian", "locrian", "harmonic minor",
          "melodic minor", "minor pentatonic", "major pentatonic", "minor blues"}) {
      const std::string key = std::string(tonic) + " " + mode;
      EXPECT_TRUE(is_clean(key)) << key;
    }
  }
}

TEST(NewLesson, OfEveryModeCanBePlayed) {
  for (const Mode& mode : modes()) (void)is_clean("E " + std::string(mode.name));
}

}  // namespace
}  // namespace fretloom
