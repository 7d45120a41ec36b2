#include "insight/shortlist.h"

#include <algorithm>

namespace fretloom {

namespace {

bool is_same_rule(const Candidate& a, const Candidate& b) {
  return a.kind == b.kind && a.tokens == b.tokens && a.carry == b.carry && a.back == b.back && a.repeats == b.repeats &&
         a.ruled == b.ruled && a.notes == b.notes;
}

bool cheaper(const Candidate& a, const Candidate& b) { return a.bits < b.bits; }

}  // namespace

void Shortlist::add(Candidate candidate) {
  if (candidate.bits > best_ + margin_) return;
  best_ = std::min(best_, candidate.bits);
  const auto same =
      std::find_if(rows_.begin(), rows_.end(), [&](const Candidate& row) { return is_same_rule(row, candidate); });
  if (same == rows_.end()) {
    rows_.push_back(std::move(candidate));
  } else if (candidate.bits < same->bits) {
    *same = std::move(candidate);
  }
  constexpr std::size_t k_most = 64;
  if (rows_.size() <= k_most) return;
  std::stable_sort(rows_.begin(), rows_.end(), cheaper);
  rows_.resize(k_most / 2);
}

std::vector<Candidate> Shortlist::take() {
  std::erase_if(rows_, [&](const Candidate& row) { return row.bits > best_ + margin_; });
  std::stable_sort(rows_.begin(), rows_.end(), cheaper);
  return std::move(rows_);
}

}  // namespace fretloom
