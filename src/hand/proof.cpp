#include "hand/proof.h"

#include <algorithm>
#include <array>

#include "base/text.h"

namespace fretloom {

namespace {

std::string_view stroke_word(Stroke stroke) { return stroke == Stroke::down ? "a downstroke" : "an upstroke"; }

bool is_even(const Visit& visit) { return visit.picked % 2 == 0; }

std::string picked_list(const std::vector<Visit>& all) {
  std::string text;
  for (const Visit& visit : all) text += (text.empty() ? "" : " ") + std::to_string(visit.picked);
  return text;
}

bool holds_looped(std::vector<Visit> cycle) {
  if (cycle.size() > 1 && cycle.front().string == cycle.back().string) {
    cycle.front().picked += cycle.back().picked;
    cycle.pop_back();
  }
  return cycle.size() < 2 || std::all_of(cycle.begin(), cycle.end(), is_even);
}

std::string looped_sentence(const Proof& proof) {
  if (*proof.looped) return " Looped it holds too: every visit of the cycle is even.";
  const Visit& first = proof.visits.front();
  const Visit& last = proof.visits.back();
  const std::string ends =
      proof.joins() ? "the last and the first visit join on string " + std::to_string(first.string) + " with " +
                          counted(static_cast<std::size_t>(first.picked + last.picked), "picked note")
                    : "the first visit has " + counted(static_cast<std::size_t>(first.picked), "picked note") +
                          " and the last " + std::to_string(last.picked);
  return " Looped it does not hold: " + ends + ".";
}

std::string holds_sentence(const Proof& proof) {
  const std::string why = proof.visits.size() < 3
                              ? "there is only one change"
                              : "every visit between the first and the last has an even number of picked notes (" +
                                    picked_list(proof.visits) + ")";
  return (proof.changes.size() == 1 ? "The string change follows " : "Every string change follows ") +
         std::string(stroke_word(proof.changes.front().last)) + ": " + why + "." + looped_sentence(proof);
}

std::string fails_sentence(const Proof& proof) {
  const auto counter = std::find_if(proof.changes.begin(), proof.changes.end(),
                                    [&](const Change& c) { return c.after_note == *proof.counter_example; });
  const Visit& odd = proof.visits[*proof.odd_visit];
  return "Not every string change follows the same stroke: the first follows " +
         std::string(stroke_word(proof.changes.front().last)) + ", but the change after note " +
         std::to_string(counter->after_note) + " follows " + std::string(stroke_word(counter->last)) +
         ", since visit " + std::to_string(*proof.odd_visit + 1) + " (string " + std::to_string(odd.string) + ") has " +
         counted(static_cast<std::size_t>(odd.picked), "picked note") + ", an odd number (" +
         picked_list(proof.visits) + ").";
}

std::string computed_changes(const Proof& proof) {
  constexpr std::array k_types = {ChangeType::outside, ChangeType::inside, ChangeType::sweep, ChangeType::reset};
  std::vector<std::string> parts;
  for (const ChangeType type : k_types) {
    const auto count =
        std::count_if(proof.changes.begin(), proof.changes.end(), [&](const Change& c) { return c.type == type; });
    if (count > 0) parts.push_back(std::to_string(count) + " " + std::string(name(type)));
  }
  const auto after_up =
      std::count_if(proof.changes.begin(), proof.changes.end(), [](const Change& c) { return c.last == Stroke::up; });
  return std::string(proof.picking == Picking::grid ? "Grid" : "Economy") +
         " picking, as computed: " + counted(proof.changes.size(), "string change") + " (" + join(parts, ", ") + "), " +
         std::to_string(after_up) + " after an upstroke and " +
         std::to_string(static_cast<std::ptrdiff_t>(proof.changes.size()) - after_up) + " after a downstroke.";
}

}  // namespace

Proof prove(const std::vector<LickNote>& notes, std::vector<Change> changes, Picking picking, Clear clear) {
  Proof proof;
  proof.picking = picking;
  proof.clear = clear;
  proof.visits = visits(notes);
  proof.changes = std::move(changes);
  if (picking != Picking::alternate) return proof;
  proof.looped = proof.changes.empty() || holds_looped(proof.visits);
  if (proof.visits.size() < 3) return proof;
  const auto odd = std::find_if_not(proof.visits.begin() + 1, proof.visits.end() - 1, is_even);
  if (odd == proof.visits.end() - 1) return proof;
  const Stroke stroke = proof.changes.front().last;
  const auto counter =
      std::find_if(proof.changes.begin(), proof.changes.end(), [&](const Change& c) { return c.last != stroke; });
  proof.odd_visit = static_cast<std::size_t>(odd - proof.visits.begin());
  proof.counter_example = counter->after_note;
  return proof;
}

std::string parity_sentence(const Proof& proof) {
  if (proof.changes.empty()) return "All notes lie on one string: there is no string change.";
  if (proof.picking != Picking::alternate) return computed_changes(proof);
  return proof.counter_example ? fails_sentence(proof) : holds_sentence(proof);
}

}  // namespace fretloom
