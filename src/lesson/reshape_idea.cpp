#include "lesson/reshape_idea.h"

#include <algorithm>
#include <utility>

#include "lesson/compile.h"
#include "lesson/edit.h"
#include "lesson/edit_ideas.h"
#include "lesson/judge.h"
#include "lesson/read.h"
#include "lesson/table_reader.h"

namespace fretloom {

Result<ReshapedLesson> reshape_idea(std::string_view text, const Idea& idea, const RuleChange& change) {
  const auto done = reshape(idea.settings.ground, idea.lick, change);
  if (!done) return done.error();
  auto edited = set_value(text, rule_path(idea), toml_string(done->rule.text));
  if (!edited) return edited.error();
  if (done->start_string != idea.lick.start_string) {
    const KeyPath start{idea.number, "start.string"};
    edited = done->start_string == idea.settings.neck().strings()
                 ? without_value(*edited, start)  // the default again
                 : set_value(*edited, start, std::to_string(done->start_string));
    if (!edited) return edited.error();
  }
  Lick lick = idea.lick;
  lick.rule = done->rule;
  lick.start_string = done->start_string;
  return ReshapedLesson{std::move(edited).value(), std::move(lick), done->token, done->lost_a_slur};
}

Result<ReshapedLesson> begin_idea(std::string_view text, int string, int ordinal) {
  auto edited = with_idea(text, "cell", std::to_string(ordinal));
  if (!edited) return edited.error();
  const LessonReading reading = read_lesson(*edited);
  const int number = static_cast<int>(reading.lesson->idea_names.size());
  if (string != reading.lesson->settings.neck().strings()) {
    edited = set_value(*edited, {number, "start.string"}, std::to_string(string));
    if (!edited) return edited.error();
  }
  const CompiledLesson after = compile_lesson(*edited);
  for (const CompiledIdea& idea : after.ideas) {
    if (after.idea(idea).number == number)
      return ReshapedLesson{std::move(edited).value(), after.idea(idea).lick, 0, false};
  }
  const auto why = std::find_if(after.findings.begin(), after.findings.end(), [&](const Finding& finding) {
    return finding.level == Level::error && (finding.where.idea == 0 || finding.where.idea == number);
  });
  return Error{ErrorKind::unreachable, 0, why == after.findings.end() ? "a rule cannot begin here" : why->message, ""};
}

Result<ReshapedLesson> begin_idea(std::string_view text) {
  auto begun = begin_idea(text, k_max_strings, 1);
  for (int string = k_max_strings - 1; string >= 1 && !begun; --string) {
    if (auto next = begin_idea(text, string, 1)) begun = std::move(next);
  }
  return begun;
}

}  // namespace fretloom
