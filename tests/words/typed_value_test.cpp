// What is typed over a word becomes the value that the file would have there.

#include "words/typed_value.h"

#include <gtest/gtest.h>

#include "lesson/edit.h"
#include "words/choices.h"

namespace fretloom {
namespace {

const std::string k_text =
    "format = 1\ntitle = \"A\"\nkey = \"E dorian\"\nlayout = { from = 12 }\n\n[[idea]]\ncell = \"1 3 2 3 + 2 1\"\n";

std::string typed(std::string_view key, std::string_view words) {
  return typed_value(compile_lesson(k_text), parse_key_path(key), words);
}

TEST(TypedValue, ReadsNumbersOutOfWords) {
  EXPECT_EQ(typed("layout.from", " fret 7 "), "7");
  EXPECT_EQ(typed("layout.from", "07"), "7");
  EXPECT_EQ(typed("layout.from", "the nut"), "0");
  EXPECT_EQ(typed("tempo.goal", "132.5"), "132.5");
  EXPECT_EQ(typed("idea[1].notes_per_beat", "4, 6 and 8"), "[4, 6, 8]");
  EXPECT_EQ(typed("idea[1].carry.strings", "two strings thinner"), "2");
  EXPECT_EQ(typed("idea[1].carry.strings", "-2"), "-2");
  EXPECT_EQ(typed("idea[1].repeats", "As far as the neck goes"), "\"fit\"");
  EXPECT_EQ(typed("idea[1].repeats", "3"), "3");
  EXPECT_EQ(typed("layout.notes", "four notes a string"), "4");
}

TEST(TypedValue, ReadsTextsAndLists) {
  EXPECT_EQ(typed("key", "g lydian"), "\"G lydian\"") << "as the choice has it";
  EXPECT_EQ(typed("title", "My \"own\""), "\"My \\\"own\\\"\"");
  EXPECT_EQ(typed("tuning", "A1 E2 A2 D3 G3 B3 E4"), "[\"A1\", \"E2\", \"A2\", \"D3\", \"G3\", \"B3\", \"E4\"]");
  EXPECT_EQ(typed("tuning", "drop d"), "\"drop D\"");
  EXPECT_EQ(typed("clear_after", "downstrokes"), "\"downstroke\"");
  EXPECT_EQ(typed("idea[1].ending", "hold the last note"), "{ kind = \"hold\" }");
}

/// Whatever a choice says, typed, is that choice.
TEST(TypedValue, ReadsBackWhatEveryChoiceSays) {
  const CompiledLesson lesson = compile_lesson(k_text);
  for (const char* key : {"key",
                          "tuning",
                          "layout.notes",
                          "layout.from",
                          "layout.kind",
                          "meter",
                          "tempo.slow",
                          "clear_after",
                          "vamp.chords",
                          "vamp.rhythm",
                          "capo",
                          "idea[1].carry.strings",
                          "idea[1].carry.steps",
                          "idea[1].repeats",
                          "idea[1].back",
                          "idea[1].picking",
                          "idea[1].first_stroke",
                          "idea[1].ending",
                          "idea[1].start.string",
                          "idea[1].start.beat",
                          "idea[1].notes_per_beat"}) {
    const auto list = choices(k_text, lesson, parse_key_path(key));
    EXPECT_FALSE(list.empty()) << key;
    for (const Choice& choice : list) {
      const std::string value = typed_value(lesson, parse_key_path(key), choice.says);
      EXPECT_EQ(set_value(k_text, parse_key_path(key), value).ok(), true) << key << ": " << choice.says;
      EXPECT_EQ(value, choice.value) << key << ": " << choice.says;
    }
  }
}

}  // namespace
}  // namespace fretloom
