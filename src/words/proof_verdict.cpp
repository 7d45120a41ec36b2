#include "words/proof_verdict.h"

#include <algorithm>

#include "words/english.h"

namespace fretloom {

namespace {

constexpr std::size_t k_fewest_folded = 8;

std::string way(const Change& change) {
  return "from string " + std::to_string(change.from) + " to string " + std::to_string(change.to) + " after note " +
         std::to_string(change.after_note);
}

}  // namespace

std::vector<int> picked_counts(const std::vector<Visit>& visits) {
  std::vector<int> counts;
  for (const Visit& visit : visits) counts.push_back(visit.picked);
  return counts;
}

std::string folded(const std::vector<int>& counts) {
  std::string text;
  if (counts.size() < k_fewest_folded) {
    for (const int count : counts) text += (text.empty() ? "" : " ") + std::to_string(count);
    return text;
  }
  for (auto run = counts.begin(); run != counts.end();) {
    const auto end = std::find_if(run, counts.end(), [&](int count) { return count != *run; });
    text += (text.empty() ? "" : ", ") + std::to_string(*run);
    if (end - run > 1) text += " x " + std::to_string(end - run);
    run = end;
  }
  return text;
}

std::string verdict(const Proof& proof) {
  const auto all = static_cast<int>(proof.changes.size());
  const int blocked = proof.blocked();
  if (all == 0) return "All notes lie on one string, so there is no string change.";
  if (blocked == 0) {
    if (all == 1) return "The one string change is free.";
    return (all == 2 ? std::string("Both") : "All " + number_word(all)) + " string changes are free.";
  }
  std::string text;
  if (blocked < all) {
    text = capital(number_word(blocked)) + " of the " + counted_word(all, "string change") +
           (blocked == 1 ? " is blocked" : " are blocked");
  } else {
    text = all == 1   ? "The one string change is blocked"
           : all == 2 ? "Both string changes are blocked"
                      : "All " + number_word(all) + " string changes are blocked";
  }
  return text + (blocked == 1 ? ", " : ", the first ") + way(*first_blocked(proof.changes)) + ".";
}

}  // namespace fretloom
