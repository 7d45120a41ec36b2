#include "words/slur_words.h"

#include <vector>

#include "lick/rule.h"
#include "words/english.h"

namespace fretloom {

namespace {

/// "the second", "the second and the fourth".
std::string slurred_notes(const std::vector<int>& numbers) {
  std::vector<std::string> names;
  for (const int number : numbers) names.push_back("the " + ordinal_word(number));
  return listed(names) + (numbers.size() == 1 ? " note" : " notes");
}

}  // namespace

std::string slur_words(const Rule& rule, const std::string& mended_text) {
  const auto read = parse_rule(rule.kind, mended_text);
  const Rule& mended = read ? *read : rule;
  std::vector<int> hammers;
  std::vector<int> pulls;
  int note = 0;
  for (std::size_t i = 0; i < rule.tokens.size() && i < mended.tokens.size(); ++i) {
    if (rule.tokens[i].rest) continue;
    ++note;
    if (rule.tokens[i].attack == mended.tokens[i].attack) continue;
    (mended.tokens[i].attack == Attack::hammer ? hammers : pulls).push_back(note);
  }
  std::string text = hammers.empty() ? "" : "hammer on to " + slurred_notes(hammers);
  if (!pulls.empty()) text += (text.empty() ? "pull off to " : " and pull off to ") + slurred_notes(pulls);
  return text;
}

}  // namespace fretloom
