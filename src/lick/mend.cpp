#include "lick/mend.h"

#include <algorithm>
#include <cstdlib>

namespace fretloom {

namespace {

/// Puts the nearest ordinal that can be played in token `t`.
bool mend_ordinal(Lick& lick, std::size_t t, const TokenTrial& can_play) {
  const int wrong = lick.rule.tokens[t].ordinal;
  for (int distance = 1; distance <= std::abs(wrong) + 12; ++distance) {
    for (const int ordinal : {wrong - distance, wrong + distance}) {
      if (ordinal < 1 && lick.rule.kind == RuleKind::cell) continue;
      lick.rule.tokens[t].ordinal = ordinal;
      if (can_play(lick, t)) return true;
    }
  }
  return false;
}

}  // namespace

std::string with_legal_ordinals(const Lick& lick, const LickTrial& trial, const TokenTrial& can_play) {
  Lick mended = lick;
  std::string text = lick.rule.text;
  for (std::size_t t = lick.rule.tokens.size(); t-- > 0;) {  // from behind, so that places in the text stay true
    if (can_play(mended, t)) continue;
    const std::string number = std::to_string(lick.rule.tokens[t].ordinal);
    const std::size_t at = text.find(number, lick.rule.tokens[t].at);
    if (!mend_ordinal(mended, t, can_play) || at == std::string::npos) return {};
    text.replace(at, number.size(), std::to_string(mended.rule.tokens[t].ordinal));
  }
  // How often it fits is another matter, and has a finding of its own.
  for (const Remark& remark : trial(mended)) {
    if (remark.level == Level::error && remark.key != "repeats" && remark.key != "back") return {};
  }
  return text;
}

std::optional<int> legal_start_string(const Neck& neck, const Lick& lick, const LickTrial& trial) {
  Lick moved = lick;
  for (int distance = 1; distance < neck.strings(); ++distance) {
    for (const int string : {lick.start_string - distance, lick.start_string + distance}) {
      moved.start_string = string;
      if (!neck.has_string(string)) continue;
      const std::vector<Remark> remarks = trial(moved);
      if (std::none_of(remarks.begin(), remarks.end(), [](const Remark& r) { return r.level == Level::error; }))
        return string;
    }
  }
  return std::nullopt;
}

}  // namespace fretloom
