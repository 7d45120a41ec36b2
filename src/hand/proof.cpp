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

std::string looped_sentence(const std::vector<Visit>& all, bool looped) {
  if (looped) return " Looped it holds too: every visit of the cycle is even.";
  const bool joined = all.size() > 1 && all.front().string == all.back().string;
  const std::string ends =
      joined ? "the last and the first visit join on string " + std::to_string(all.front().string) + " with " +
                   counted(static_cast<std::size_t>(all.front().picked + all.back().picked), "picked note")
             : "the first visit has " + counted(static_cast<std::size_t>(all.front().picked), "picked note") +
                   " and the last " + std::to_string(all.back().picked);
  return " Looped it does not hold: " + ends + ".";
}

Proof prove_alternate(const std::vector<Visit>& all, const std::vector<Change>& changes) {
  Proof proof;
  proof.looped = holds_looped(all);
  const Stroke stroke = changes.front().last;
  const auto odd = all.size() < 3 ? all.end() : std::find_if_not(all.begin() + 1, all.end() - 1, is_even);
  const bool holds = all.size() < 3 || odd == all.end() - 1;
  if (holds) {
    const std::string why = all.size() < 3
                                ? "there is only one change"
                                : "every visit between the first and the last has an even number of picked notes (" +
                                      picked_list(all) + ")";
    proof.sentence = (changes.size() == 1 ? "The string change follows " : "Every string change follows ") +
                     std::string(stroke_word(stroke)) + ": " + why + "." + looped_sentence(all, *proof.looped);
    return proof;
  }
  const auto counter = std::find_if(changes.begin(), changes.end(), [&](const Change& c) { return c.last != stroke; });
  proof.counter_example = counter->after_note;
  proof.sentence =
      "Not every string change follows the same stroke: the first follows " + std::string(stroke_word(stroke)) +
      ", but the change after note " + std::to_string(counter->after_note) + " follows " +
      std::string(stroke_word(counter->last)) + ", since visit " + std::to_string(odd - all.begin() + 1) + " (string " +
      std::to_string(odd->string) + ") has " + counted(static_cast<std::size_t>(odd->picked), "picked note") +
      ", an odd number (" + picked_list(all) + ").";
  return proof;
}

std::string computed_changes(const std::vector<Change>& changes, Picking picking) {
  std::array<int, 4> types{};
  int after_up = 0;
  for (const Change& change : changes) {
    ++types[static_cast<std::size_t>(change.type)];
    after_up += change.last == Stroke::up ? 1 : 0;
  }
  std::vector<std::string> parts;
  for (std::size_t i = 0; i < types.size(); ++i) {
    if (types[i] > 0) parts.push_back(std::to_string(types[i]) + " " + std::string(name(static_cast<ChangeType>(i))));
  }
  return std::string(picking == Picking::grid ? "Grid" : "Economy") +
         " picking, as computed: " + counted(changes.size(), "string change") + " (" + join(parts, ", ") + "), " +
         std::to_string(after_up) + " after an upstroke and " +
         std::to_string(static_cast<int>(changes.size()) - after_up) + " after a downstroke.";
}

}  // namespace

Proof prove(const std::vector<LickNote>& notes, const std::vector<Change>& changes, Picking picking) {
  const std::vector<Visit> all = visits(notes);
  Proof proof;
  if (changes.empty()) {
    proof.sentence = "All notes lie on one string: there is no string change.";
    if (picking == Picking::alternate) proof.looped = true;
    return proof;
  }
  if (picking == Picking::alternate) return prove_alternate(all, changes);
  proof.sentence = computed_changes(changes, picking);
  return proof;
}

}  // namespace fretloom
