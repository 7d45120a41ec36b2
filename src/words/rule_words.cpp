#include "words/rule_words.h"

#include <algorithm>
#include <cstdlib>
#include <span>

#include "base/text.h"
#include "words/english.h"

namespace fretloom {

namespace {

std::string attack_words(Attack attack) {
  switch (attack) {
    case Attack::hammer: return "hammer on to ";
    case Attack::pull: return "pull off to ";
    case Attack::slide: return "slide to ";
    case Attack::pick: break;
  }
  return "";
}

std::string token_words(const RuleToken& token) {
  if (token.rest) return token.units == 1 ? "a rest" : "a rest of " + counted_word(token.units, "note") + "' length";
  std::string text = attack_words(token.attack) + std::to_string(token.ordinal);
  if (token.alter != 0) text += token.alter > 0 ? " raised a semitone" : " lowered a semitone";
  if (token.accent) text += " (accented)";
  if (token.units > 1) text += " held for " + counted_word(token.units, "note") + "' time";
  return text;
}

/// A token that is read as more than its number, and perhaps its accent.
bool has_words(const RuleToken& token) {
  return token.rest || token.attack != Attack::pick || token.alter != 0 || token.units > 1;
}

/// "1, 3 and 2"; with words among the numbers a comma before the last: "1, hammer on to 2, and 3".
std::string run_words(std::span<const RuleToken> run) {
  std::vector<std::string> items;
  for (const RuleToken& token : run) items.push_back(token_words(token));
  if (items.size() < 3 || std::none_of(run.begin(), run.end(), has_words)) return listed(items);
  return listed({join(std::span(items).first(items.size() - 1), ", ") + ",", items.back()});
}

/// "one string thinner", "two strings thicker".
std::string move_words(int strings) {
  return counted_word(std::abs(strings), "string") + (strings > 0 ? " thinner" : " thicker");
}

}  // namespace

std::string rule_words(const Rule& rule) {
  const std::string head = rule.kind == RuleKind::cell ? "String note" : "Scale step";
  const bool rests_first = !rule.tokens.empty() && rule.tokens.front().rest;
  std::string text = head + (rule.group() == 1 ? "" : "s") + (rests_first ? ": " : " ");
  for (std::size_t i = 0; i < rule.tokens.size();) {
    const int offset = rule.tokens[i].offset;
    std::size_t end = i;
    while (end < rule.tokens.size() && rule.tokens[end].offset == offset) ++end;
    if (i > 0) text += ", then, " + move_words(offset - rule.tokens[i - 1].offset) + ", ";
    text += run_words(std::span(rule.tokens).subspan(i, end - i));
    i = end;
  }
  return text + ".";
}

std::string rule_explanation(const IdeaSheet& idea) {
  if (idea.rule.kind == RuleKind::cell) return "String note 1 is the lowest note of a string in this layout.";
  // A sequence need not begin on its step 1.
  const auto row = static_cast<std::size_t>(idea.instrument.neck.strings() - idea.start_string);
  const auto note = static_cast<std::size_t>(idea.start_ordinal - 1);
  if (row >= idea.layout.size() || note >= idea.layout[row].degrees.size()) return "";
  return "The first time through, step 1 is " + idea.layout[row].degrees[note].above(idea.key.tonic()).name() + ".";
}

}  // namespace fretloom
