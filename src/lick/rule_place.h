#pragma once
// From what is seen in the phrase back to the rule: which token a note comes from, and how the rule would write a
// place.

#include <optional>

#include "lick/expand.h"

namespace fretloom {

/// The token of the `number`-th sounded note (from 0) of a repetition (1..R out, R+1..2R back, R = `repeats`). A
/// retrograde return goes through the rule backward. Preconditions: number < rule.group(), 1 <= repeat <= 2R.
[[nodiscard]] std::size_t token_of(const Lick& lick, int repeats, int repeat, int number);

/// A place as the rule writes it.
struct RulePlace {
  int ordinal = 1;  ///< of a sequence: the step
  int offset = 0;   ///< strings thinner than a cell's first token; 0 in a sequence
  friend bool operator==(const RulePlace&, const RulePlace&) = default;
};

/// What the rule must write so that repetition `repeat` plays the `ordinal`-th note of a string: the carry, and the
/// mirror of a mirrored return, are taken off again. Nothing where no rule can write it: an ordinal below 1, a step
/// that the layout's line does not have. `phrase` is the lick's own. Precondition: the neck has the string.
[[nodiscard]] std::optional<RulePlace> place_in_rule(const Ground& ground, const Lick& lick, const Phrase& phrase,
                                                     int repeat, int string, int ordinal);

}  // namespace fretloom
