#include "insight/answer_json.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "insight/lesson_text.h"
#include "insight/sentence.h"

namespace fretloom {

namespace {

using Json = nlohmann::ordered_json;

Json misfit_json(const Misfit& misfit) {
  Json json;
  json["note"] = misfit.note;
  json["kind"] = name(misfit.kind);
  json["string"] = misfit.found.string;
  json["fret"] = misfit.found.fret;
  json["attack"] = name(misfit.found_attack);
  json["expected"] = {
      {"string", misfit.expected.string}, {"fret", misfit.expected.fret}, {"attack", name(misfit.expected_attack)}};
  json["sentence"] = misfit_words(misfit);
  return json;
}

Json cause_json(const MissedStep& step) {
  Json strings = Json::array();
  for (int string = step.string; string >= 1; --string) strings.push_back(string);
  return {{"kind", "tuning-step"}, {"strings", strings}, {"frets", -step.frets}, {"notes", step.notes}};
}

/// The answer as an idea of the open lesson.
void add_idea(const Answer& answer, const OpenLesson& open, Json& json) {
  const std::vector<IdeaKey> keys = idea_keys(answer, open.home);
  json["keys"] = Json::array();
  for (const IdeaKey& key : keys) json["keys"].push_back({{"key", key.key}, {"value", key.value}});
  json["fits"] =
      answer.key == open.home.key() && answer.neck == open.home.neck() && answer.layout == open.home.layout();
  const auto text = with_idea(open.text, keys);
  json["text"] = text ? Json(*text) : Json();
}

Json answer_json(const Answer& answer, int phrase, const OpenLesson* open) {
  Json json;
  json["phrase"] = phrase;
  json["sentence"] = sentence_of(answer);
  json["coverage"] = {
      {"follow", answer.follows()}, {"notes", answer.ruled}, {"ending", answer.heard.size() - answer.ruled}};
  json["misfits"] = Json::array();
  for (const Misfit& misfit : answer.misfits) json["misfits"].push_back(misfit_json(misfit));
  json["cause"] = answer.missed_step ? cause_json(*answer.missed_step) : Json();
  json["bits"] = std::round(answer.bits * 10) / 10;
  json["plain_bits"] = answer.plain_bits;
  json["tie"] = answer.tie;
  json["reasons"] = reasons_of(answer);
  json["lesson"] = lesson_text(answer);
  if (open != nullptr) add_idea(answer, *open, json);
  return json;
}

Json phrase_json(const ExplainedPhrase& phrase) {
  Json json;
  json["number"] = phrase.number;
  json["name"] = phrase.given.name;
  json["line"] = phrase.given.place.line;
  json["notes"] = phrase.given.notes.size();
  json["answers"] = phrase.explanation.answers.size();
  json["reason"] = phrase.explanation.why_not ? Json(sentence_of(*phrase.explanation.why_not)) : Json();
  return json;
}

}  // namespace

std::string explain_json(const std::vector<ExplainedPhrase>& phrases, const std::vector<Finding>& findings,
                         const OpenLesson* open) {
  Json json;
  json["answers"] = Json::array();
  json["phrases"] = Json::array();
  json["findings"] = Json::array();
  for (const ExplainedPhrase& phrase : phrases) {
    for (const Answer& answer : phrase.explanation.answers)
      json["answers"].push_back(answer_json(answer, phrase.number, open));
    json["phrases"].push_back(phrase_json(phrase));
  }
  for (const Finding& finding : findings) {
    json["findings"].push_back({{"level", name(finding.level)},
                                {"code", finding.code},
                                {"line", finding.place.line},
                                {"column", finding.place.column},
                                {"message", finding.message}});
  }
  if (open != nullptr) return json.dump(-1, ' ', false, Json::error_handler_t::replace);
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace fretloom
