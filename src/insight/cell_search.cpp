#include "insight/cell_search.h"

#include <algorithm>
#include <array>
#include <cstdlib>
#include <numeric>
#include <optional>
#include <span>

#include "insight/code_length.h"
#include "insight/rule_fit.h"

namespace fretloom {

namespace {

/// One note of the cell, as its repetitions vote for it. Steps count from the thickest string's first note, as if its
/// number were 0.
struct Chain {
  BestSteps steps;
  std::size_t missed = 0;  ///< notes that do not sound so
  std::size_t second = 0;  ///< notes that another step would not miss
  bool asked_all = false;  ///< every step that notes vote for was looked at, or one that all notes have was enough
};

/// A note of a mirrored return, as the layout would have to be for it.
struct Image {
  static constexpr int k_never = -10'000;

  std::size_t source = 0;  ///< the string that it mirrors, thickest 0
  /// For each step of the chain: what twice the thickest string's first number and the count of `source` must make
  /// together, k_never where no layout has the note.
  std::array<int, BestSteps::k_most> sums{k_never, k_never, k_never, k_never};
};

class CellSearch {
 public:
  CellSearch(const ScaleView& view, const LayoutShape& shape, const Cycle& cycle, Shortlist& shortlist)
      : view_(view), shape_(shape), cycle_(cycle), shortlist_(shortlist), miss_bits_(least_miss_bits(view, cycle)) {}

  /// False where the shape is not even asked for its layouts.
  bool run() {
    known_ = view_.bits() + cycle_.bits;
    if (cycle_.start_string != view_.neck().strings()) known_ += k_start_bits;
    if (known_ > shortlist_.limit(Tells::all) || !has_strings()) return false;
    std::size_t against = 0;
    const auto steps = steps_of_carry(against);
    if (!steps) return false;
    carry_steps_ = *steps;
    known_ += carry_bits(RuleKind::cell, {cycle_.strings, carry_steps_});
    const double pairs = static_cast<double>(against) * least_pair_bits(view_, cycle_);
    if (against > 0 && known_ + pairs > shortlist_.limit(Tells::not_all)) return false;
    if (!ask_chains(nullptr, nullptr)) return false;
    if (cycle_.turn.back != Back::mirrored) {
      for (const LayoutFamily& family : shape_.families) search_family(family, family.choices);
      return true;
    }
    // Only a mirror asks how many notes a string has.
    find_images();
    if (!is_worth(known_, least_missed([&](std::size_t j, std::size_t s) { return missed_anywhere(j, s); })))
      return false;
    for (const LayoutFamily& family : shape_.families) {
      for (const LayoutChoice& choice : family.choices) search_mirrored(family, choice);
    }
    return true;
  }

 private:
  [[nodiscard]] int string_at(std::size_t i) const {
    return cycle_.start_string - static_cast<int>(i / cycle_.size()) * cycle_.strings -
           cycle_.tokens[i % cycle_.size()].offset;
  }
  [[nodiscard]] bool has_strings() const {
    for (std::size_t j = 0; j < cycle_.size(); ++j) {
      if (!view_.neck().has_string(string_at(j))) return false;
    }
    return true;
  }
  /// Of a note, as its string numbers it; of a note outside the scale that of the one below.
  [[nodiscard]] int ordinal(std::size_t i) const { return view_.number(i) - shape_.above[view_.index(i)]; }

  /// How many scale steps a repetition lies above the one before: what most pairs say. `against`: how many do not.
  [[nodiscard]] std::optional<int> steps_of_carry(std::size_t& against) const {
    const std::size_t size = cycle_.size();
    if (cycle_.turn.out == size) return 0;
    constexpr int k_most = 40;
    std::array<std::uint16_t, 2 * k_most + 1> counts{};
    std::size_t pairs = 0;
    std::size_t most = 0;
    int rise_of_most = 0;
    bool decided = false;  // all pairs of the first repetition agree
    for (std::size_t i = 0; i + size < cycle_.turn.out; ++i) {
      decided = decided || (i == size && pairs > 0 && most == pairs);
      if (view_.is_outside(i) || view_.is_outside(i + size) || cycle_.fits[i] == 0 || cycle_.fits[i + size] == 0)
        continue;
      const int rise = ordinal(i + size) - ordinal(i);
      if (decided || std::abs(rise) > k_most) {
        if (rise != rise_of_most || most == 0) ++against;
        continue;
      }
      ++pairs;
      const std::size_t count = ++counts[static_cast<std::size_t>(rise + k_most)];
      if (count < most || (count == most && rise > rise_of_most)) continue;
      most = count;
      rise_of_most = rise;
    }
    against += pairs - most;
    return pairs == 0 ? std::nullopt : std::optional(rise_of_most);
  }

  [[nodiscard]] std::size_t count_missed(std::size_t j, const Step& step) const {
    std::size_t missed = 0;
    int steps = 0;
    for (std::size_t i = j; i < cycle_.turn.out; i += cycle_.size(), steps += carry_steps_) {
      const int number = step.number + steps + shape_.above[view_.index(i)];
      if (cycle_.fits[i] == 0 || view_.line().midi(number) + step.alter != view_.notes()[i].midi) ++missed;
    }
    return missed;
  }

  /// Votes for every note of the rule that would sound as note `i` does; `at` is its ordinal less the carry. A note
  /// outside the scale is one raised or one lowered, one inside may be its neighbour's.
  void vote(Votes& votes, std::size_t i, int at) const {
    const int number = view_.number(i);
    const int midi = view_.notes()[i].midi;
    if (!view_.is_outside(i)) votes.add({at, 0});
    if (view_.is_outside(i) && midi - view_.line().midi(number) == 1) votes.add({at, 1});
    if (view_.line().midi(number + 1) - midi == 1) votes.add({at + 1, -1});
    if (!view_.is_outside(i) && number > 0 && midi - view_.line().midi(number - 1) == 1) votes.add({at - 1, 1});
  }

  /// How many notes of the mirrored return sound as this step's image does.
  [[nodiscard]] std::size_t count_mirrored(const LayoutFamily& family, const LayoutChoice& choice, std::size_t j,
                                           const Step& step) const {
    const int repeats = static_cast<int>(cycle_.turn.out / cycle_.size());
    std::size_t count = 0;
    for (int r = 0; r < repeats; ++r) {
      const std::size_t there = j + static_cast<std::size_t>(r) * cycle_.size();
      const int source = string_at(there);
      if (!view_.neck().has_string(source)) continue;
      const HeardNote& note = view_.notes()[cycle_.turn.out + there];
      const int string = cycle_.mirror - source;
      if (note.string != string) continue;
      const int ordinal = choice.counts[view_.neck().index(source)] - 1 - (step.number - family.first[0]);
      const int number = family.first[view_.neck().index(string)] + ordinal + (repeats - 1 - r) * carry_steps_;
      if (view_.line().midi(number) - step.alter == note.midi) ++count;
    }
    return count;
  }

  void ask_all(Chain& chain, std::size_t j, const LayoutFamily* family, const LayoutChoice* choice) const {
    Votes votes;
    int steps = 0;
    std::size_t all = 0;
    for (std::size_t i = j; i < cycle_.turn.out; i += cycle_.size(), steps += carry_steps_, ++all) {
      if (cycle_.fits[i] != 0) vote(votes, i, ordinal(i) - steps);
    }
    if (choice != nullptr) {
      votes.raise([&](const Step& step) { return count_mirrored(*family, *choice, j, step); });
      all *= 2;
    }
    chain.asked_all = true;
    chain.missed = all - votes.most();
    chain.steps = votes.best();
    chain.second = chain.steps.size() < BestSteps::k_most ? votes.second() : votes.most();
    if (chain.steps.size() == 0) chain.steps.add({ordinal(j), 0});
  }

  /// Fills the chains; false where the whole costs too much. With a choice: of a mirrored return on it.
  bool ask_chains(const LayoutFamily* family, const LayoutChoice* choice) {
    chains_.assign(cycle_.size(), {});
    double bits = known_;
    std::size_t missed = 0;
    for (std::size_t j = 0; j < cycle_.size(); ++j) {
      Chain& chain = chains_[j];
      const Step first{ordinal(j), 0};
      if (cycle_.turn.back != Back::mirrored && !view_.is_outside(j) && count_missed(j, first) == 0) {
        chain.steps.add(first);
      } else {
        ask_all(chain, j, family, choice);
      }
      if (chain.steps.front().alter != 0) bits += k_alteration_bits;
      bits += static_cast<double>(chain.missed) * miss_bits_;
      missed += chain.missed;
      if (bits > shortlist_.limit(missed == 0 ? Tells::all : Tells::not_all)) return false;
    }
    return true;
  }

  /// The best steps that lie on the family's strings; false where there are none.
  bool steps_on(const LayoutFamily& family, std::vector<Step>& steps) {
    const int lowest = family.first[0];
    steps.clear();
    for (std::size_t j = 0; j < cycle_.size(); ++j) {
      Chain& chain = chains_[j];
      const auto lies_on = [&](const Step& step) { return step.number >= lowest; };
      auto step = std::find_if(chain.steps.begin(), chain.steps.end(), lies_on);
      if (step == chain.steps.end() && !chain.asked_all) {
        ask_all(chain, j, nullptr, nullptr);
        step = std::find_if(chain.steps.begin(), chain.steps.end(), lies_on);
      }
      if (step == chain.steps.end()) return false;
      steps.push_back(*step);
    }
    return true;
  }

  void find_images() {
    const int repeats = static_cast<int>(cycle_.turn.out / cycle_.size());
    for (std::size_t there = 0; there < cycle_.turn.out; ++there) {
      const int source = string_at(there);
      const HeardNote& note = view_.notes()[cycle_.turn.out + there];
      Image image;
      const Chain& chain = chains_[there % cycle_.size()];
      const int string = cycle_.mirror - source;
      if (view_.neck().has_string(source) && note.string == string) {
        image.source = view_.neck().index(source);
        const int repeat = static_cast<int>(there / cycle_.size());
        const int steps = (repeats - 1 - repeat) * carry_steps_ + shape_.above[view_.neck().index(string)];
        std::size_t s = 0;
        for (const Step& step : chain.steps) {
          const int midi = note.midi + step.alter;
          if (view_.line().has(midi)) image.sums[s] = view_.line().at_or_above(midi) - steps + 1 + step.number;
          ++s;
        }
      }
      images_.push_back(image);
    }
  }

  /// How many notes cannot follow, where `missed(j, s)` of the return do not with step `s` of chain `j`.
  template <class Missed>
  [[nodiscard]] std::size_t least_missed(Missed missed) const {
    const std::size_t repeats = cycle_.turn.out / cycle_.size();
    std::size_t all = 0;
    for (std::size_t j = 0; j < cycle_.size(); ++j) {
      const Chain& chain = chains_[j];
      std::size_t least = repeats - chain.second - chain.missed;  // with any other step, on the way out alone
      for (std::size_t s = 0; s < chain.steps.size() && least > 0; ++s) least = std::min(least, missed(j, s));
      all += chain.missed + least;
    }
    return all;
  }

  /// Of the return, if each of its strings could have as many notes as suits it best.
  [[nodiscard]] std::size_t missed_anywhere(std::size_t j, std::size_t s) const {
    std::array<std::size_t, k_max_strings> most{};
    std::size_t all = 0;
    for (std::size_t i = j; i < images_.size(); i += cycle_.size(), ++all) {
      std::size_t alike = 0;
      for (std::size_t k = j; k < images_.size(); k += cycle_.size())
        alike += images_[k].source == images_[i].source && images_[k].sums[s] == images_[i].sums[s] ? 1 : 0;
      std::size_t& row = most[images_[i].source];
      if (images_[i].sums[s] != Image::k_never) row = std::max(row, alike);
    }
    return all - std::accumulate(most.begin(), most.end(), std::size_t{0});
  }

  [[nodiscard]] std::size_t missed_on(const LayoutFamily& family, const LayoutChoice& choice, std::size_t j,
                                      std::size_t s) const {
    std::size_t missed = 0;
    for (std::size_t i = j; i < images_.size(); i += cycle_.size()) {
      const Image& image = images_[i];
      missed += image.sums[s] == 2 * family.first[0] + choice.counts[image.source] ? 0 : 1;
    }
    return missed;
  }

  [[nodiscard]] bool is_worth(double bits, std::size_t missed) const {
    return !is_too_wrong(missed, 2 * cycle_.turn.out) &&
           bits + static_cast<double>(missed) * miss_bits_ <=
               shortlist_.limit(missed == 0 ? Tells::all : Tells::not_all);
  }

  void search_mirrored(const LayoutFamily& family, const LayoutChoice& choice) {
    if (known_ + choice.bits > shortlist_.limit(Tells::all)) return;
    const std::size_t missed =
        least_missed([&](std::size_t j, std::size_t s) { return missed_on(family, choice, j, s); });
    if (!is_worth(known_ + choice.bits, missed)) return;
    const std::vector<Chain> way_out = chains_;
    if (ask_chains(&family, &choice)) search_family(family, {&choice, 1});
    chains_ = way_out;
  }

  void search_family(const LayoutFamily& family, std::span<const LayoutChoice> choices) {
    if (known_ + choices.front().bits > shortlist_.limit(Tells::all)) return;
    std::vector<Step> steps;
    if (!steps_on(family, steps)) return;
    // Layouts further up the neck play the same notes, unless one of them is told by another step.
    const bool is_known = cycle_.turn.back != Back::mirrored && steps == steps_;
    if (!is_known) {
      steps_ = std::move(steps);
      extent_.reset();
      expected_ = expected_out();
      std::vector<Expected> all = expected_;
      if (cycle_.turn.back == Back::none || add_return(view_, family.first, choices.front(), cycle_, carry_steps_, all))
        extent_ = extent_of(view_, cycle_, all);
    }
    if (!extent_) return;
    for (const LayoutChoice& choice : choices) consider(family, choice);
  }

  [[nodiscard]] std::vector<Expected> expected_out() const {
    std::vector<Expected> expected(cycle_.turn.out);
    for (std::size_t i = 0; i < expected.size(); ++i) {
      const int string = string_at(i);
      if (!view_.neck().has_string(string)) continue;
      const Step& step = steps_[i % cycle_.size()];
      const int repeat = static_cast<int>(i / cycle_.size());
      expected[i] = {string, step.number + shape_.above[view_.neck().index(string)] + repeat * carry_steps_,
                     step.alter};
    }
    return expected;
  }

  /// The string has no note in this position.
  [[nodiscard]] bool uses_empty_string(const LayoutChoice& choice) const {
    return choice.rule.kind == LayoutKind::position &&
           std::any_of(expected_.begin(), expected_.end(), [&](const Expected& e) {
             return e.string != 0 && choice.counts[view_.neck().index(e.string)] == 0;
           });
  }

  void consider(const LayoutFamily& family, const LayoutChoice& choice) {
    double bits = known_ + choice.bits + extent_->bits;
    const double limit = shortlist_.limit(extent_->tells);
    for (std::size_t j = 0; j < cycle_.size() && bits <= limit; ++j) {
      const int above = steps_[j].number - family.first[0] + 1 - choice.counts[view_.neck().index(string_at(j))];
      if (above > 0) bits += k_above_bits + k_above_step * above;
      if (steps_[j].alter != 0) bits += k_alteration_bits;
    }
    if (bits > limit || uses_empty_string(choice)) return;
    Candidate candidate;
    candidate.bits = bits;
    candidate.tells = extent_->tells;
    candidate.slips = extent_->slips;
    candidate.scale = view_.line().set();
    candidate.layout = choice.rule;
    candidate.kind = RuleKind::cell;
    candidate.carry = {cycle_.strings, carry_steps_};
    candidate.start_string = cycle_.start_string;
    candidate.back = cycle_.turn.back;
    candidate.repeats = extent_->repeats;
    candidate.ruled = extent_->ruled;
    candidate.notes = view_.notes();
    std::vector<Step> ordinals = steps_;
    for (Step& step : ordinals) step.number += 1 - family.first[0];
    candidate.tokens = tokens_of(cycle_, ordinals);
    shortlist_.add(std::move(candidate));
  }

  const ScaleView& view_;
  const LayoutShape& shape_;
  const Cycle& cycle_;
  Shortlist& shortlist_;
  double miss_bits_;
  double known_ = 0;  ///< bits of all but layout, steps, slips and ending
  int carry_steps_ = 0;
  std::vector<Chain> chains_;
  std::vector<Image> images_;
  std::vector<Step> steps_;  ///< those that the next two are of
  std::vector<Expected> expected_;
  std::optional<Extent> extent_;
};

}  // namespace

bool search_cells(const ScaleView& view, const LayoutShape& shape, const Cycle& cycle, Shortlist& shortlist) {
  return CellSearch(view, shape, cycle, shortlist).run();
}

}  // namespace fretloom
