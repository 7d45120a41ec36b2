#pragma once
// Repairs of a rule that cannot be played where it starts: found by trying others near it.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "lick/expand.h"

namespace fretloom {

/// All remarks that the expansion of another lick on the same neck has, without repairs.
using LickTrial = std::function<std::vector<Remark>(const Lick&)>;
/// True if token `t` of a lick's first repetition can be played.
using TokenTrial = std::function<bool(const Lick&, std::size_t t)>;

/// The rule's text with every ordinal brought to the nearest that its string has, or empty.
[[nodiscard]] std::string with_legal_ordinals(const Lick& lick, const LickTrial& trial, const TokenTrial& can_play);

/// The string nearest to the start that the whole phrase can start on.
[[nodiscard]] std::optional<int> legal_start_string(const Neck& neck, const Lick& lick, const LickTrial& trial);

}  // namespace fretloom
