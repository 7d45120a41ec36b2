// A hand's change of a rule in the lesson's text: what is pinned to a note goes with the note.

#include "lesson/reshape_idea.h"

#include <gtest/gtest.h>

#include <string>

#include "lesson/compile.h"

namespace fretloom {
namespace {

std::string lesson_with(const std::string& idea) {
  return "format = 1\ntitle = \"Pinned\"\nkey = \"E dorian\"\nlayout = { from = 12 }\n\n[[idea]]\ncell = \"1 2 3\"\n" +
         idea;
}

/// The idea's lines after its rule, as the change leaves them.
std::string after(const std::string& idea, const RuleChange& change) {
  const std::string text = lesson_with(idea);
  const CompiledLesson lesson = compile_lesson(text);
  EXPECT_EQ(lesson.ideas.size(), 1U) << text;
  const auto done = reshape_idea(text, lesson.idea(lesson.ideas.front()), change);
  if (!done) return "refused: " + done.error().what;
  const std::string mark = "cell = \"";
  const std::size_t rule = done->text.find(mark);
  const std::size_t end = done->text.find('\n', rule);
  EXPECT_EQ(compile_lesson(done->text).ideas.size(), 1U) << done->text;
  return done->text.substr(rule + mark.size(), end - rule - mark.size() - 1) + "\n" + done->text.substr(end + 1);
}

constexpr RuleChange k_one_more_in_front{0, InsertNote{2, 0, 0}};
constexpr RuleChange k_without_the_second{1, RemoveNote{}};

TEST(ReshapeIdea, AChangedNoteKeepsItsFretWhenANoteComesBeforeIt) {
  EXPECT_EQ(after("edits = [{ repeat = 2, note = 3, fret = 17 }]  # high\nback = \"none\"\n", k_one_more_in_front),
            "2 1 2 3\nedits = [{ repeat = 2, note = 4, fret = 17 }]  # high\nback = \"none\"\n");
}

TEST(ReshapeIdea, AChangedNoteGoesWithTheNote) {
  EXPECT_EQ(after("edits = [{ repeat = 1, note = 2, fret = 15 }, { repeat = 2, note = 3, fret = 17 }]\n",
                  k_without_the_second),
            "1 3\nedits = [{ repeat = 2, note = 2, fret = 17 }]\n");
  EXPECT_EQ(after("edits = [{ repeat = 1, note = 2, fret = 15 }]\n", k_without_the_second), "1 3\n");
}

TEST(ReshapeIdea, NotesOfTheReturnAreCountedFromItsOwnBeginning) {
  // Three repetitions out, so the fourth is the return's first; there the rule's last note is its first.
  EXPECT_EQ(
      after("repeats = 3\nback = \"retrograde\"\nedits = [{ repeat = 4, note = 1, fret = 17 }]\n", k_one_more_in_front),
      "2 1 2 3\nrepeats = 3\nback = \"retrograde\"\nedits = [{ repeat = 4, note = 1, fret = 17 }]\n");
  EXPECT_EQ(after("repeats = 3\nback = \"retrograde\"\nedits = [{ repeat = 4, note = 3, fret = 14 }]\n",
                  k_without_the_second),
            "1 3\nrepeats = 3\nback = \"retrograde\"\nedits = [{ repeat = 4, note = 2, fret = 14 }]\n");
}

TEST(ReshapeIdea, PinnedFingersStayWithTheirNotes) {
  EXPECT_EQ(after("fingers = [1, 2, 4]\n", k_one_more_in_front), "2 1 2 3\nfingers = [-1, 1, 2, 4]\n");
  EXPECT_EQ(after("fingers = [1, 2, 4]\n", k_without_the_second), "1 3\nfingers = [1, 4]\n");
  EXPECT_EQ(after("fingers = [{ note = 3, finger = 4 }, { repeat = 2, note = 1, finger = 1 }]\n", k_without_the_second),
            "1 3\nfingers = [{ note = 2, finger = 4 }, { repeat = 2, note = 1, finger = 1 }]\n");
}

TEST(ReshapeIdea, WhatChangesNoNumberLeavesTheListsAsTheyAreWritten) {
  EXPECT_EQ(after("fingers = [ 1,2, 4 ]\n", {1, SetAccent{true}}), "1 2! 3\nfingers = [ 1,2, 4 ]\n");
  EXPECT_EQ(after("fingers = [ 1,2, 4 ]\n", {3, InsertNote{1, 0, 0}}), "1 2 3 1\nfingers = [ 1,2, 4 ]\n");
}

}  // namespace
}  // namespace fretloom
