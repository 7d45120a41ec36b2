#include "score/rule.h"

#include <algorithm>

namespace fretloom {

int Rule::group() const {
  return static_cast<int>(std::count_if(tokens.begin(), tokens.end(), [](const RuleToken& t) { return !t.rest; }));
}

int Rule::units() const {
  int sum = 0;
  for (const RuleToken& token : tokens) sum += token.units;
  return sum;
}

}  // namespace fretloom
