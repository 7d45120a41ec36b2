// The rule behind notes that were pasted into the lesson.

#include "engine/calls.h"
#include "exchange/read_note_list.h"
#include "exchange/read_text_tab.h"
#include "insight/answer_json.h"
#include "insight/explain.h"

namespace fretloom::engine {

namespace {

// A page waits for the answer: what it takes a breath to explain, and no more.
constexpr std::size_t k_most_phrases = 16;
constexpr std::size_t k_most_notes = 512;

Result<std::vector<GivenPhrase>> phrases_of(const std::string& text) {
  if (looks_like_note_list(text)) {
    const auto phrase = read_note_list(text);
    if (!phrase) return phrase.error();
    return std::vector<GivenPhrase>{*phrase};
  }
  return read_text_tab(text);
}

std::optional<Error> too_much(const std::vector<GivenPhrase>& phrases) {
  if (phrases.size() > k_most_phrases)
    return Error{ErrorKind::limit, 0,
                 "the text has " + std::to_string(phrases.size()) + " phrases; paste at most " +
                     std::to_string(k_most_phrases) + " at a time",
                 ""};
  for (const GivenPhrase& phrase : phrases) {
    if (phrase.notes.size() > k_most_notes)
      return Error{ErrorKind::limit, 0,
                   "a phrase has " + std::to_string(phrase.notes.size()) + " notes; paste at most " +
                       std::to_string(k_most_notes) + " of one",
                   ""};
  }
  return std::nullopt;
}

}  // namespace

Result<Answer> explain(Session& session, Request& request) {
  const std::string text = request.text("text");
  if (const auto fault = request.fault()) return *fault;
  if (!session.lesson().is_readable())
    return Error{ErrorKind::syntax, 0, "the lesson cannot be read, so a rule has no place in it yet", ""};
  const auto settings = settled(session.lesson().lesson->settings);
  if (!settings)
    return Error{ErrorKind::range, 0, "the lesson's key, tuning or layout is in error; put that right first", ""};
  const auto given = phrases_of(text);
  if (!given) return given.error();
  if (const auto error = too_much(*given)) return *error;
  const Home home(*settings);
  std::vector<ExplainedPhrase> phrases;
  for (const GivenPhrase& phrase : *given) {
    auto explanation = fretloom::explain(phrase, home);
    if (!explanation) return explanation.error();
    const int number = static_cast<int>(phrases.size()) + 1;
    phrases.push_back({number, phrase, std::move(explanation).value()});
  }
  const OpenLesson open{session.text(), home};
  return Answer{explain_json(phrases, {}, &open), ""};
}

}  // namespace fretloom::engine
