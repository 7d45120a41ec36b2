// The text of the lesson: what stands there, another one, and changes that leave the rest of it alone.

#include <algorithm>
#include <array>

#include "engine/calls.h"
#include "lesson/edit.h"
#include "lesson/edit_ideas.h"
#include "lesson/mended.h"
#include "lesson/source.h"
#include "lesson/template.h"
#include "words/typed_value.h"

namespace fretloom::engine {

namespace {

/// The keys that hold a rule.
constexpr std::array<std::pair<std::string_view, std::string_view>, 2> k_rule_keys = {
    {{"cell", "cell"}, {"sequence", "sequence"}}};

/// Key and text of an idea's rule, be it in error or not; nothing where it has none.
Json rule_json(const Session& session, int number) {
  for (const auto& [word, key] : k_rule_keys) {
    const KeyPath path{number, std::string(key)};
    if (auto rule = string_at(session.text(), session.lesson().lesson->source, path))
      return {{"key", path.text()}, {"text", *std::move(rule)}};
  }
  return nullptr;
}

Json ideas_json(const Session& session) {
  const CompiledLesson& lesson = session.lesson();
  Json list = Json::array();
  const std::vector<std::string>& names = lesson.lesson->idea_names;
  for (std::size_t i = 0; i < names.size(); ++i) {
    const int number = static_cast<int>(i) + 1;
    Json feels = Json::array();
    bool is_sound = false;
    for (const CompiledIdea& idea : lesson.ideas) {
      if (lesson.idea(idea).number != number) continue;
      is_sound = true;
      for (const Feel& feel : idea.feels) feels.push_back(feel.notes_per_beat);
    }
    list.push_back({{"idea", number},
                    {"name", names[i]},
                    {"rule", rule_json(session, number)},
                    {"sound", is_sound},
                    {"feels", feels}});
  }
  return list;
}

/// What a caller needs to know of a text that is new.
Json summary(const Session& session) {
  const CompiledLesson& lesson = session.lesson();
  int errors = 0;
  int warnings = 0;
  for (const Finding& finding : lesson.findings) {
    errors += finding.level == Level::error ? 1 : 0;
    warnings += finding.level == Level::warning ? 1 : 0;
  }
  return {{"readable", lesson.is_readable()},
          {"read_only", lesson.is_readable() && lesson.lesson->is_read_only()},
          {"errors", errors},
          {"warnings", warnings},
          {"ideas", lesson.is_readable() ? ideas_json(session) : Json::array()}};
}

Result<Answer> changed(Session& session, Result<std::string> text) {
  if (!text) return text.error();
  session.replace(std::move(text).value());
  return answer({{"text", session.text()}, {"summary", summary(session)}});
}

}  // namespace

Result<Answer> replace(Session& session, Request& request) {
  std::string text = request.text("text");
  if (const auto fault = request.fault()) return *fault;
  if (text.size() > k_max_lesson_bytes)
    return Error{ErrorKind::limit, 0, "a lesson has at most " + std::to_string(k_max_lesson_bytes) + " bytes", ""};
  session.replace(std::move(text));
  return answer(summary(session));
}

Result<Answer> text(Session& session, Request& request) {
  if (const auto fault = request.fault()) return *fault;
  return answer({{"text", session.text()}});
}

Result<Answer> edit(Session& session, Request& request) {
  const KeyPath key = parse_key_path(request.text("key"));
  const bool is_typed = request.has("words");
  const std::string given = request.text(is_typed ? "words" : "value");
  if (const auto fault = request.fault()) return *fault;
  const std::string value = is_typed ? typed_value(session.lesson(), key, given) : given;
  return changed(session, set_value(session.text(), key, value));
}

Result<Answer> repair(Session& session, Request& request) {
  const auto& found = session.lesson().findings;
  const int index = request.integer("finding", 0, static_cast<int>(std::max<std::size_t>(found.size(), 1)) - 1);
  if (const auto fault = request.fault()) return *fault;
  if (found.empty()) return Error{ErrorKind::range, 0, "the lesson has no finding to repair", ""};
  return changed(session, mended(session.text(), found[static_cast<std::size_t>(index)]));
}

Result<Answer> unset(Session& session, Request& request) {
  const KeyPath key = parse_key_path(request.text("key"));
  if (const auto fault = request.fault()) return *fault;
  return changed(session, without_value(session.text(), key));
}

Result<Answer> add_idea(Session& session, Request& request) {
  const std::string rule = request.text("rule");
  const std::string_view key = request.one_of("kind", k_rule_keys, std::string_view("cell"));
  if (const auto fault = request.fault()) return *fault;
  return changed(session, with_idea(session.text(), key, rule));
}

Result<Answer> move_idea(Session& session, Request& request) {
  const int from = request.integer("idea", 1, k_max_ideas);
  const int to = request.integer("to", 1, k_max_ideas);
  if (const auto fault = request.fault()) return *fault;
  return changed(session, idea_moved(session.text(), from, to));
}

Result<Answer> remove_idea(Session& session, Request& request) {
  const int idea = request.integer("idea", 1, k_max_ideas);
  if (const auto fault = request.fault()) return *fault;
  return changed(session, without_idea(session.text(), idea));
}

Result<Answer> new_text(Session&, Request& request) {
  const std::string title = request.text("title");
  const std::string key = request.text("key");
  if (const auto fault = request.fault()) return *fault;
  auto text = new_lesson(title, key);
  if (!text) return text.error();
  return answer({{"text", *text}});
}

}  // namespace fretloom::engine
