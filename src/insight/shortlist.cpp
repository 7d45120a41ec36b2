#include "insight/shortlist.h"

#include <algorithm>

namespace fretloom {

namespace {

bool is_same_rule(const Candidate& a, const Candidate& b) {
  return a.kind == b.kind && a.tokens == b.tokens && a.carry == b.carry && a.back == b.back && a.repeats == b.repeats &&
         a.ruled == b.ruled && a.notes == b.notes;
}

bool cheaper(const Candidate& a, const Candidate& b) { return a.rank() < b.rank(); }

}  // namespace

void Shortlist::add(Candidate candidate) {
  if (candidate.rank() > best_ + margin_) return;
  best_ = std::min(best_, candidate.rank());
  // On another layout the rule may be played just as often by itself, which is for the answer to find out.
  const auto is_worse = [&](const Candidate& row, const Candidate& than) {
    return is_same_rule(row, than) && row.bits > than.bits + k_repeats_bits;
  };
  if (std::any_of(rows_.begin(), rows_.end(), [&](const Candidate& row) { return is_worse(candidate, row); })) return;
  std::erase_if(rows_, [&](const Candidate& row) { return is_worse(row, candidate); });
  rows_.push_back(std::move(candidate));
  constexpr std::size_t k_most = 64;
  if (rows_.size() <= k_most) return;
  std::stable_sort(rows_.begin(), rows_.end(), cheaper);
  rows_.resize(k_most / 2);
}

std::vector<Candidate> Shortlist::take() {
  std::erase_if(rows_, [&](const Candidate& row) { return row.rank() > best_ + margin_; });
  std::stable_sort(rows_.begin(), rows_.end(), cheaper);
  return std::move(rows_);
}

}  // namespace fretloom
