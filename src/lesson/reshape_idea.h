#pragma once
// A hand's change of a rule, written into the lesson's text.

#include <string>
#include <string_view>

#include "lesson/lesson.h"
#include "lick/reshape.h"

namespace fretloom {

struct ReshapedLesson {
  std::string text;
  Lick lick;              ///< of the idea after the change
  std::size_t token = 0;  ///< of its rule, to go on with
  bool lost_a_slur = false;
};

/// The text with one idea's rule changed, and its start string where the rule's first note went to another; changed
/// notes and pinned fingers stay with their notes, or go with them. All else keeps its characters. `idea` is one that
/// the text compiles to. Errors: those of reshape() and of set_value().
[[nodiscard]] Result<ReshapedLesson> reshape_idea(std::string_view text, const Idea& idea, const RuleChange& change);

/// The text with one more idea behind the others, whose rule is one note of the lesson's layout. Errors: the text is no
/// lesson that can be edited, or the new idea would be in error (the lesson's settings are, the note is off the neck).
[[nodiscard]] Result<ReshapedLesson> begin_idea(std::string_view text, int string, int ordinal);

/// The same on the first string, from the thickest, that takes one. For drawings of a rule that is still to be made.
[[nodiscard]] Result<ReshapedLesson> begin_idea(std::string_view text);

}  // namespace fretloom
