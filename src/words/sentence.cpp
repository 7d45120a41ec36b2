#include "words/sentence.h"

namespace fretloom {

std::string plain(const Sentence& sentence) {
  std::string text;
  for (const Span& span : sentence) text += span.text;
  return text;
}

std::string marked(const Sentence& sentence) {
  std::string text;
  for (const Span& span : sentence) text += span.key ? "**" + span.text + "**" : span.text;
  return text;
}

void add(Sentence& sentence, std::string_view text) {
  if (text.empty()) return;
  if (sentence.empty() || sentence.back().key) sentence.emplace_back();
  sentence.back().text += text;
}

void add(Sentence& sentence, std::string_view text, KeyPath key) {
  sentence.push_back({std::string(text), std::move(key), std::nullopt});
}

void add(Sentence& sentence, const Sentence& more) {
  for (const Span& span : more) {
    if (span.key) {
      sentence.push_back(span);
    } else {
      add(sentence, span.text);
    }
  }
}

void add_sentence(Sentence& text, const Sentence& more) {
  if (!text.empty() && !more.empty()) add(text, " ");
  add(text, more);
}

KeyPath KeyPlaces::operator()(std::string_view key) const {
  KeyPath in_idea = own(key);
  return index_.contains(in_idea) ? in_idea : KeyPath{0, std::string(key)};
}

}  // namespace fretloom
