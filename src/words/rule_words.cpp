#include "words/rule_words.h"

#include <algorithm>

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

/// "1, 3 and 2"; with words among the numbers a comma before the last: "1, hammer on to 2, and 3".
std::string list_of(const std::vector<std::string>& run) {
  const bool has_words =
      std::any_of(run.begin(), run.end(), [](const std::string& item) { return item.find(' ') != std::string::npos; });
  if (!has_words || run.size() < 3) return listed(run);
  return listed({join(std::vector(run.begin(), run.end() - 1), ", ") + ",", run.back()});
}

}  // namespace

std::string rule_words(const Rule& rule) {
  const std::string head = rule.kind == RuleKind::cell ? "String note" : "Scale step";
  const bool rests_first = !rule.tokens.empty() && rule.tokens.front().rest;
  std::string text = head + (rule.group() == 1 ? "" : "s") + (rests_first ? ": " : " ");
  for (std::size_t i = 0; i < rule.tokens.size();) {
    const int offset = rule.tokens[i].offset;
    if (i > 0) {
      const int move = offset - rule.tokens[i - 1].offset;
      text += ", then " + counted_word(move > 0 ? move : -move, "string") + (move > 0 ? " thinner " : " thicker ");
    }
    std::vector<std::string> run;
    for (; i < rule.tokens.size() && rule.tokens[i].offset == offset; ++i) run.push_back(token_words(rule.tokens[i]));
    text += list_of(run);
  }
  return text + ".";
}

std::string rule_explanation(RuleKind kind) {
  return kind == RuleKind::cell ? "String note 1 is the lowest note of a string in this layout."
                                : "Step 1 is the note on which the line starts.";
}

}  // namespace fretloom
