#include "words/effect.h"

#include <gtest/gtest.h>

#include "lesson/edit.h"

namespace fretloom {
namespace {

const std::string k_lesson =
    "title = \"T\"\nkey = \"E dorian\"\nlayout = { from = 12 }\n"
    "[[idea]]\ncell = \"1 3 2 3 + 2 1\"\n";

std::string effect(const std::string& text, const std::string& key, const std::string& value) {
  const auto then = set_value(text, parse_key_path(key), value);
  EXPECT_TRUE(then) << then.error().what;
  return effect_words(compile_lesson(text), compile_lesson(*then), parse_key_path(key));
}

TEST(Effect, TellsTheSignatureOfAKey) {
  EXPECT_EQ(effect(k_lesson, "key", "\"E dorian\""), "two sharps");
  EXPECT_EQ(effect(k_lesson, "key", "\"C major\"").substr(0, 19), "no sharps or flats,");
  EXPECT_EQ(effect(k_lesson, "key", "\"F dorian\"").substr(0, 11), "three flats");
}

// The worked example of the design: five changes, all after upstrokes.
TEST(Effect, TellsWhatHappensToTheStringChanges) {
  EXPECT_EQ(effect(k_lesson, "clear_after", "\"downstroke\""), "five string changes blocked");
  const std::string blocked = "clear_after = \"downstroke\"\n" + k_lesson;
  EXPECT_EQ(effect(blocked, "idea[1].first_stroke", "\"up\"").substr(0, 23), "all string changes free");
}

TEST(Effect, TellsHowFarTheRuleGoes) {
  EXPECT_EQ(effect(k_lesson, "idea[1].repeats", "3").substr(0, 19), "carried three times");
}

TEST(Effect, TellsOfAnIdeaByItsNumberWhereThereAreSeveral) {
  const std::string two = k_lesson + "[[idea]]\ncell = \"1 2 3 4\"\nending = \"none\"\n";
  const std::string told = effect(two, "layout.from", "5");
  EXPECT_EQ(told, "");  // the same notes, seven frets lower
  EXPECT_EQ(effect(two, "idea[2].repeats", "1"), "carried once");
}

TEST(Effect, IsEmptyWhereNothingDiffers) { EXPECT_EQ(effect(k_lesson, "title", "\"Another\""), ""); }

}  // namespace
}  // namespace fretloom
