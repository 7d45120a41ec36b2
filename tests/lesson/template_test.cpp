// The lesson to start from.

#include "lesson/template.h"

#include <gtest/gtest.h>

#include "lesson/compile.h"
#include "lesson/notes_json.h"

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

/// The lesson with one of its commented keys in use; nothing where the line holds no key.
std::optional<std::string> with_key_in_use(const std::string& text, std::size_t line_start) {
  const std::size_t end = text.find('\n', line_start);
  const std::string line = text.substr(line_start, end - line_start);
  if (!line.starts_with("# ") || line.find(" = ") == std::string::npos || line.find("    # ") == std::string::npos)
    return std::nullopt;
  return text.substr(0, line_start) + line.substr(2) + text.substr(end);
}

TEST(NewLesson, SaysTheDefaultOfEveryKeyThatItLeavesOut) {
  const std::string text = new_lesson("New", "E dorian").value();
  const std::string as_written = notes_json(compile_lesson(text));
  int keys = 0;
  for (std::size_t at = 0; at < text.size(); at = text.find('\n', at) + 1) {
    const auto used = with_key_in_use(text, at);
    if (!used) continue;
    ++keys;
    if (used->substr(at, 8) == "sequence") continue;  // instead of the cell
    EXPECT_EQ(notes_json(compile_lesson(*used)), as_written) << used->substr(at, used->find('\n', at) - at);
  }
  EXPECT_EQ(keys, 30);
}

TEST(NewLesson, OfEveryModeCanBePlayed) {
  for (const Mode& mode : modes()) (void)is_clean("E " + std::string(mode.name));
}

}  // namespace
}  // namespace fretloom
