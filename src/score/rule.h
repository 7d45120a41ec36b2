#pragma once
// The rule of an idea and how it is carried, as data. Notation and its reader: lick/rule.h.

#include <cstddef>
#include <string>
#include <vector>

#include "score/stroke.h"

namespace fretloom {

/// cell: ordinals and string moves. sequence: scale steps.
enum class RuleKind { cell, sequence };

/// A note or rest of a rule.
struct RuleToken {
  bool rest = false;
  Attack attack = Attack::pick;
  int ordinal = 1;
  int alter = 0;  ///< -1, 0 or 1
  bool accent = false;
  int units = 1;       ///< 1 to 64
  int offset = 0;      ///< strings thinner than the cell's first, from the moves before it
  std::size_t at = 0;  ///< byte offset in the rule's text

  friend bool operator==(const RuleToken&, const RuleToken&) = default;
};

struct Rule {
  RuleKind kind = RuleKind::cell;
  std::string text;  ///< as typed
  std::vector<RuleToken> tokens;

  /// Sounded notes.
  [[nodiscard]] int group() const;
  /// Units, rests and holds included.
  [[nodiscard]] int units() const;

  friend bool operator==(const Rule&, const Rule&) = default;
};

/// How a rule goes from one repetition to the next.
struct Carry {
  int strings = 1;  ///< toward thinner; 0 in a sequence
  int steps = 0;    ///< scale steps up; a sequence's default is 1

  friend bool operator==(const Carry&, const Carry&) = default;
};

/// The way back: none, the same notes in reverse order, or the same order on the mirrored strings.
enum class Back { none, retrograde, mirrored };

}  // namespace fretloom
