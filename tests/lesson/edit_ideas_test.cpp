// Ideas added, moved and taken out: all other text keeps its characters.

#include "lesson/edit_ideas.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "lesson/compile.h"

namespace fretloom {
namespace {

const std::string k_head = "format = 1\ntitle = \"Three\"\nkey = \"E dorian\"\n\n";
const std::string k_one = "# the first one\n[[idea]]  # here\nname = \"One\"\ncell = \"1 2 3\"\n\n";
const std::string k_two = "[[idea]]\nname = \"Two\"\ncell = \"3 2 1\"  # down\n[idea.carry]\nstrings = 1\n\n";
const std::string k_three = "# the last\n# of all\n[[idea]]\nname = \"Three\"\ncell = \"1 3\"\n";
const std::string k_lesson = k_head + k_one + k_two + k_three;

std::vector<std::string> names(const std::string& text) {
  const CompiledLesson lesson = compile_lesson(text);
  return lesson.lesson ? lesson.lesson->idea_names : std::vector<std::string>{};
}

TEST(EditIdeas, MovesAnIdeaWithItsComments) {
  const auto moved = idea_moved(k_lesson, 3, 1);
  ASSERT_TRUE(moved.ok()) << moved.error().what;
  EXPECT_EQ(*moved, k_head + k_three + "\n" + k_one + k_two.substr(0, k_two.size() - 1));
  EXPECT_EQ(names(*moved), (std::vector<std::string>{"Three", "One", "Two"}));
}

TEST(EditIdeas, TakesAnIdeaOut) {
  const auto left = without_idea(k_lesson, 2);
  ASSERT_TRUE(left.ok());
  EXPECT_EQ(*left, k_head + k_one + k_three);
  const auto last = without_idea(k_lesson, 3);
  ASSERT_TRUE(last.ok());
  EXPECT_EQ(*last, k_head + k_one + k_two.substr(0, k_two.size() - 1));
}

TEST(EditIdeas, AddsAnIdeaBehindTheOthers) {
  const auto more = with_idea(k_lesson, "cell", "2 1 + 1");
  ASSERT_TRUE(more.ok()) << more.error().what;
  EXPECT_EQ(*more, k_lesson + "\n[[idea]]\ncell = \"2 1 + 1\"\n");
  const std::string tail = "# under all\n[vamp]\nchords = \"Em7 | A7\"\n";
  const auto before_tail = with_idea(k_lesson + "\n" + tail, "cell", "2 1 + 1");
  ASSERT_TRUE(before_tail.ok()) << before_tail.error().what;
  EXPECT_EQ(*before_tail, k_lesson + "\n[[idea]]\ncell = \"2 1 + 1\"\n\n" + tail);
  EXPECT_EQ(names(*before_tail).size(), 4U);
}

TEST(EditIdeas, RefusesWithAReason) {
  EXPECT_FALSE(with_idea(k_lesson, "cell", "1 +").ok());
  EXPECT_EQ(idea_moved(k_lesson, 1, 4).error().what, "there is no idea 4; the lesson has 3 ideas");
  EXPECT_EQ(without_idea(k_lesson, 0).error().kind, ErrorKind::range);
  EXPECT_FALSE(without_idea("title = [", 1).ok());
  EXPECT_FALSE(without_idea("format = 99\n" + k_lesson.substr(11), 1).ok());
  const std::string listed = "format = 1\ntitle = \"A\"\nkey = \"E dorian\"\nidea = [{ cell = \"1 2 3\" }]\n";
  EXPECT_FALSE(without_idea(listed, 1).ok());
}

TEST(EditIdeas, TakesAKeyOut) {
  const auto check = [](const std::string& text, const std::string& path, const std::string& left) {
    const auto without = without_value(text, parse_key_path(path));
    ASSERT_TRUE(without.ok()) << without.error().what;
    EXPECT_EQ(*without, left);
  };
  check(k_lesson, "reach", k_lesson);
  check(k_head + k_one, "idea[1].name", k_head + "# the first one\n[[idea]]  # here\ncell = \"1 2 3\"\n\n");
  check(k_head + "tempo = { slow = 50, goal = 90 }\n" + k_one, "tempo.slow",
        k_head + "tempo = { goal = 90 }\n" + k_one);
  check(k_head + "tempo = { slow = 50, goal = 90 }\n" + k_one, "tempo.goal",
        k_head + "tempo = { slow = 50 }\n" + k_one);
  EXPECT_FALSE(without_value(k_lesson, parse_key_path("key")).ok());
  EXPECT_FALSE(without_value(k_lesson, parse_key_path("idea[2].carry")).ok());
}

RC_GTEST_PROP(EditIdeas, MovingThereAndBackGivesTheSameIdeas, ()) {
  const int from = *rc::gen::inRange(1, 4);
  const int to = *rc::gen::inRange(1, 4);
  const auto moved = idea_moved(k_lesson, from, to);
  RC_ASSERT(moved.ok());
  const auto back = idea_moved(*moved, to, from);
  RC_ASSERT(back.ok());
  RC_ASSERT(names(*back) == names(k_lesson));
  RC_ASSERT(compile_lesson(*back).findings.size() == compile_lesson(k_lesson).findings.size());
}

}  // namespace
}  // namespace fretloom
