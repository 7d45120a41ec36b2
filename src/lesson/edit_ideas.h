#pragma once
// Whole ideas of a lesson's text: added, moved, taken out; and a key taken out, so that its default holds. All else
// keeps its characters; comment lines right above an idea go with it.

#include <span>
#include <string>
#include <string_view>

#include "base/diagnostics.h"
#include "base/result.h"

namespace fretloom {

// Errors of all (the caller's text is untouched): the text is no lesson, it has a newer format (read-only), there is no
// such idea, the ideas stand in one list `idea = [...]` instead of under headers of their own.

/// An idea with this rule behind the others. `rule_key` is "cell" or "sequence". Also an error: a rule with which the
/// lesson would read with an error.
[[nodiscard]] Result<std::string> with_idea(std::string_view text, std::string_view rule_key, std::string_view rule);

/// A key of an idea and its value as TOML: "carry", "{ strings = 2, steps = 0 }".
struct IdeaKey {
  std::string key;
  std::string value;

  friend bool operator==(const IdeaKey&, const IdeaKey&) = default;
};

/// The same with all of the idea's keys, in order, each on a line of its own.
[[nodiscard]] Result<std::string> with_idea(std::string_view text, std::span<const IdeaKey> keys);

/// Without the idea of this number (from 1).
[[nodiscard]] Result<std::string> without_idea(std::string_view text, int number);

/// The idea `from` becomes number `to`; the others close up.
[[nodiscard]] Result<std::string> idea_moved(std::string_view text, int from, int to);

/// Without the key. A key that is not there is no error. Also an error: the key is a table with a header of its own, or
/// the lesson would read with an error without it.
[[nodiscard]] Result<std::string> without_value(std::string_view text, const KeyPath& path);

}  // namespace fretloom
