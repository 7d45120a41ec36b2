#include "lesson/reshape_idea.h"

#include <algorithm>
#include <utility>

#include "lesson/compile.h"
#include "lesson/edit.h"
#include "lesson/edit_ideas.h"
#include "lesson/judge.h"
#include "lesson/read.h"
#include "lesson/table_reader.h"
#include "lick/renumber.h"

namespace fretloom {
namespace {

/// On the way out; the lick can be expanded.
int repeats_of(const Ground& ground, const Lick& lick) {
  std::vector<Remark> remarks;
  const auto phrase = expand(ground, lick, remarks);
  return phrase ? phrase->repeats : 1;
}

std::vector<NoteEdit> edits_now(const std::vector<NoteEdit>& edits, const Renumbering& numbers) {
  std::vector<NoteEdit> kept;
  for (const NoteEdit& edit : edits) {
    if (const auto now = numbers.now({edit.repeat, edit.note})) kept.push_back({now->repeat, now->note, edit.fret});
  }
  return kept;
}

std::string edits_text(const std::vector<NoteEdit>& edits) {
  std::vector<std::string> items;
  for (const NoteEdit& edit : edits) {
    items.push_back("{ repeat = " + std::to_string(edit.repeat) + ", note = " + std::to_string(edit.note) +
                    ", fret = " + std::to_string(edit.fret) + " }");
  }
  return "[" + join(items, ", ") + "]";
}

std::vector<FingerPin> fingers_now(const std::vector<FingerPin>& fingers, const Renumbering& numbers) {
  std::vector<FingerPin> kept;
  for (FingerPin pin : fingers) {
    const auto now = pin.repeat ? numbers.now(NoteNumber{*pin.repeat, pin.note}) : std::nullopt;
    const auto everywhere = pin.repeat ? std::nullopt : numbers.now(pin.note);
    if (!now && !everywhere) continue;
    pin.repeat = now ? std::optional(now->repeat) : std::nullopt;
    pin.note = now ? now->note : *everywhere;
    kept.push_back(std::move(pin));
  }
  return kept;
}

/// "[1, -1, 4]": the fingers of a rule's notes in order.
std::string plain_fingers_text(const std::vector<FingerPin>& fingers) {
  std::vector<std::string> items;
  for (const FingerPin& pin : fingers) {
    if (static_cast<int>(items.size()) < pin.note) items.resize(static_cast<std::size_t>(pin.note), "-1");
    items[static_cast<std::size_t>(pin.note) - 1] = std::to_string(pin.finger);
  }
  return "[" + join(items, ", ") + "]";
}

std::string fingers_text(const std::vector<FingerPin>& fingers) {
  // A pin of a plain list stands in the list itself: "fingers[2]"; of a table, inside it: "fingers[2].finger".
  const auto is_plain = [](const FingerPin& pin) { return pin.key.ends_with("]"); };
  if (std::all_of(fingers.begin(), fingers.end(), is_plain)) return plain_fingers_text(fingers);
  std::vector<std::string> items;
  for (const FingerPin& pin : fingers) {
    items.push_back("{ " + (pin.repeat ? "repeat = " + std::to_string(*pin.repeat) + ", " : std::string()) +
                    "note = " + std::to_string(pin.note) + ", finger = " + std::to_string(pin.finger) + " }");
  }
  return "[" + join(items, ", ") + "]";
}

/// The lists that call single notes by their numbers, where the change of the rule changes them.
struct NumberedLists {
  std::vector<NoteEdit> edits;
  std::vector<IdeaKey> changed;
};

NumberedLists numbered_lists(const Idea& idea, const Lick& after, const RuleChange& change) {
  if (idea.lick.edits.empty() && idea.fingers.empty()) return {};
  const Ground& ground = idea.settings.ground;
  const Renumbering numbers(idea.lick, repeats_of(ground, idea.lick), after, repeats_of(ground, after), change);
  NumberedLists lists{edits_now(idea.lick.edits, numbers), {}};
  if (const std::string edits = edits_text(lists.edits); edits != edits_text(idea.lick.edits))
    lists.changed.push_back({"edits", edits});
  if (const std::string fingers = fingers_text(fingers_now(idea.fingers, numbers));
      fingers != fingers_text(idea.fingers))
    lists.changed.push_back({"fingers", fingers});
  return lists;
}

}  // namespace

Result<ReshapedLesson> reshape_idea(std::string_view text, const Idea& idea, const RuleChange& change) {
  const auto done = reshape(idea.settings.ground, idea.lick, change);
  if (!done) return done.error();
  Lick lick = idea.lick;
  lick.rule = done->rule;
  lick.start_string = done->start_string;
  NumberedLists lists = numbered_lists(idea, lick, change);
  // In between, the old numbers could contradict the new rule.
  Result<std::string> edited = std::string(text);
  for (const IdeaKey& list : lists.changed) {
    edited = set_value(*edited, {idea.number, list.key}, "[]");
    if (!edited) return edited.error();
  }
  edited = set_value(*edited, rule_path(idea), toml_string(done->rule.text));
  if (!edited) return edited.error();
  if (done->start_string != idea.lick.start_string) {
    const KeyPath start{idea.number, "start.string"};
    edited = done->start_string == idea.settings.neck().strings()
                 ? without_value(*edited, start)  // the default again
                 : set_value(*edited, start, std::to_string(done->start_string));
    if (!edited) return edited.error();
  }
  for (const IdeaKey& list : lists.changed) {
    const KeyPath path{idea.number, list.key};
    edited = list.value == "[]" ? without_value(*edited, path) : set_value(*edited, path, list.value);
    if (!edited) return edited.error();
  }
  lick.edits = std::move(lists.edits);
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
