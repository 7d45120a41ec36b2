#pragma once
// The rule of an idea: a cell of ordinals and string moves, or a sequence of scale steps.
//
//   rule      = token (space token)*
//   token     = note | rest | move
//   note      = [attack] ordinal [alteration] ["!"] ["x" units]
//   attack    = "h" hammer-on | "p" pull-off | "s" slide, from the note directly before
//   alteration= "#" | "b" (a semitone)
//   rest      = "r" ["x" units]
//   move      = "+"... to thinner strings | "-"... to thicker ones (cells only)
//
// A cell's ordinal counts from 1; a sequence's may be 0 or negative. A rule starts and ends with a
// note or rest and holds at least one note; a slur needs a note directly before it.

#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "score/rule.h"

namespace fretloom {

constexpr int k_max_rule_tokens = 256;
constexpr int k_max_units = 64;

/// Error.at is the byte offset of the first token at fault; Error.repair the whole rule mended, which
/// parses; empty where the rule is too long.
[[nodiscard]] Result<Rule> parse_rule(RuleKind kind, std::string_view text);

/// Tokens as a teacher types them, with single spaces: "1 3 2 3 + 2 1". A string move stands before the token that
/// lies on the new string. Reads back as the same tokens, if they can be read at all.
[[nodiscard]] std::string spelled(RuleKind kind, const std::vector<RuleToken>& tokens);

/// The rule's text with the given attack written before each token of `tokens` (indices into
/// rule.tokens); everything else stays as typed.
[[nodiscard]] std::string with_slurs(const Rule& rule, const std::vector<std::pair<std::size_t, Attack>>& slurs);

}  // namespace fretloom
