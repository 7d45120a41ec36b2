// What is said of the lesson: sentences whose words know their key, findings, and what else a word could say.

#include "engine/calls.h"
#include "lesson/judge.h"
#include "lesson/notes_json.h"
#include "score/ladder.h"
#include "words/cautions.h"
#include "words/choices.h"
#include "words/ending_sentence.h"
#include "words/idea_sentence.h"
#include "words/lesson_sentence.h"
#include "words/more_sentence.h"
#include "words/repair_words.h"
#include "words/rule_words.h"
#include "words/teacher_proof.h"

namespace fretloom::engine {

namespace {

Json sentence_json(const Sentence& sentence) {
  Json list = Json::array();
  for (const Span& span : sentence) {
    Json json = {{"text", span.text}};
    if (span.key) json["key"] = span.key->text();
    if (span.value) json["value"] = *span.value;
    list.push_back(std::move(json));
  }
  return list;
}

Json idea_json(const CompiledLesson& lesson, const CompiledIdea& compiled) {
  const Idea& idea = lesson.idea(compiled);
  Json feels = Json::array();
  for (const Feel& feel : compiled.feels)
    feels.push_back(
        {{"notes_per_beat", feel.notes_per_beat}, {"ending", sentence_json(ending_sentence(lesson, compiled, feel))}});
  Json rungs = Json::array();
  for (const Rational& bpm : ladder(idea.settings.tempo.slow_bpm, idea.settings.tempo.goal_bpm))
    rungs.push_back(bpm.to_double());
  return {
      {"idea", idea.number},
      {"name", idea.name},
      {"note", idea.note},
      {"rule", {{"text", idea.lick.rule.text}, {"key", rule_path(idea).text()}, {"words", rule_words(idea.lick.rule)}}},
      {"sentence", sentence_json(idea_sentence(lesson, compiled))},
      {"more", sentence_json(idea_more(lesson, compiled))},
      {"ladder", rungs},
      {"blocked", compiled.blocked.own},
      {"proof", sentence_json(teacher_proof(idea, compiled))},
      {"feels", feels}};
}

}  // namespace

Result<Answer> sentences(Session& session, Request& request) {
  if (const auto fault = request.fault()) return *fault;
  const CompiledLesson& lesson = session.lesson();
  if (!lesson.is_readable()) return Error{ErrorKind::syntax, 0, "the lesson cannot be read", ""};
  const Prose& prose = lesson.lesson->prose;
  Json ideas = Json::array();
  for (const CompiledIdea& idea : lesson.ideas) ideas.push_back(idea_json(lesson, idea));
  return answer({{"title", prose.title},
                 {"author", prose.author},
                 {"intro", prose.intro},
                 {"lesson", sentence_json(lesson_sentence(*lesson.lesson))},
                 {"more", sentence_json(lesson_more(*lesson.lesson))},
                 {"ideas", ideas},
                 {"cautions", cautions_paragraph()}});
}

Result<Answer> findings(Session& session, Request& request) {
  if (const auto fault = request.fault()) return *fault;
  return Answer{findings_json(session.lesson()), ""};
}

Result<Answer> mends(Session& session, Request& request) {
  if (const auto fault = request.fault()) return *fault;
  Json list = Json::array();
  for (const Finding& finding : session.lesson().findings)
    list.push_back(finding.repair.empty() ? Json(nullptr) : Json(repair_words(finding.where, finding.repair)));
  return answer({{"mends", std::move(list)}});
}

Result<Answer> choices(Session& session, Request& request) {
  const KeyPath key = parse_key_path(request.text("key"));
  if (const auto fault = request.fault()) return *fault;
  Json list = Json::array();
  for (const Choice& choice : fretloom::choices(session.text(), session.lesson(), key))
    list.push_back({{"value", choice.value}, {"says", choice.says}, {"does", choice.does}});
  return answer({{"key", key.text()}, {"choices", list}});
}

}  // namespace fretloom::engine
