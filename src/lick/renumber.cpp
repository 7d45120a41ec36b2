#include "lick/renumber.h"

namespace fretloom {
namespace {

/// Where a token of the rule before stands now; behind all where it is gone.
std::size_t token_now(const RuleChange& change, std::size_t token) {
  if (std::holds_alternative<InsertNote>(change.what)) return token < change.token ? token : token + 1;
  if (!std::holds_alternative<RemoveNote>(change.what) || token < change.token) return token;
  return token == change.token ? static_cast<std::size_t>(-1) : token - 1;
}

/// Number of a token among the sounded notes, from 1; nothing for a rest and for a token that is not there.
std::optional<int> number_of(const Rule& rule, std::size_t token) {
  if (token >= rule.tokens.size() || rule.tokens[token].rest) return std::nullopt;
  int number = 0;
  for (std::size_t i = 0; i <= token; ++i) number += rule.tokens[i].rest ? 0 : 1;
  return number;
}

}  // namespace

Renumbering::Renumbering(const Lick& before, int repeats_before, const Lick& after, int repeats_after,
                         const RuleChange& change)
    : group_after_(after.rule.group()),
      repeats_before_(repeats_before),
      repeats_after_(repeats_after),
      back_(before.back) {
  for (std::size_t i = 0; i < before.rule.tokens.size(); ++i) {
    if (!before.rule.tokens[i].rest) notes_.push_back(number_of(after.rule, token_now(change, i)));
  }
}

std::optional<int> Renumbering::now(int note) const {
  const bool is_there = note >= 1 && note <= static_cast<int>(notes_.size());
  return is_there ? notes_[static_cast<std::size_t>(note) - 1] : std::nullopt;
}

std::optional<NoteNumber> Renumbering::now(const NoteNumber& note) const {
  const bool is_return = note.repeat > repeats_before_;
  const bool is_backward = is_return && back_ == Back::retrograde;
  const auto number = now(is_backward ? static_cast<int>(notes_.size()) + 1 - note.note : note.note);
  if (!number) return std::nullopt;
  return NoteNumber{is_return ? note.repeat - repeats_before_ + repeats_after_ : note.repeat,
                    is_backward ? group_after_ + 1 - *number : *number};
}

}  // namespace fretloom
