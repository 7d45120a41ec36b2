#include "lick/rule_place.h"

#include <algorithm>

#include "lick/sequence_line.h"

namespace fretloom {

namespace {

/// Thinnest and thickest string of the way out, added: what a mirrored return reflects strings about.
int mirror_sum(const Phrase& phrase) {
  int low = k_max_strings;
  int high = 1;
  for (const LickNote& note : phrase.notes) {
    if (note.repeat > phrase.repeats) continue;
    low = std::min(low, note.string);
    high = std::max(high, note.string);
  }
  return low + high;
}

}  // namespace

std::size_t token_of(const Lick& lick, int repeats, int repeat, int number) {
  const bool backward = lick.back == Back::retrograde && repeat > repeats;
  int left = backward ? lick.rule.group() - 1 - number : number;
  std::size_t token = 0;
  while (lick.rule.tokens[token].rest || left-- > 0) ++token;
  return token;
}

std::optional<RulePlace> place_in_rule(const Ground& ground, const Lick& lick, const Phrase& phrase, int repeat,
                                       int string, int ordinal) {
  int r = repeat - 1;  // of the way out, from 0
  if (repeat > phrase.repeats) {
    if (lick.back == Back::mirrored) {
      string = mirror_sum(phrase) - string;
      if (!ground.neck.has_string(string)) return std::nullopt;
      ordinal = ground.layout.strings[ground.neck.index(string)].count + 1 - ordinal;
      r = repeat - 1 - phrase.repeats;
    } else {
      r = 2 * phrase.repeats - repeat;
    }
  }
  if (lick.rule.kind == RuleKind::sequence) {
    const auto step = SequenceLine(ground, lick).step_of(ground, string, ordinal);
    return step ? std::optional(RulePlace{*step - r * lick.carry.steps, 0}) : std::nullopt;
  }
  if (ordinal < 1) return std::nullopt;
  return RulePlace{ordinal, lick.start_string - r * lick.carry.strings - string};
}

}  // namespace fretloom
