#pragma once
// How far a phrase follows a rule on a layout, and what is left over.

#include <array>
#include <optional>
#include <span>
#include <vector>

#include "insight/cycle.h"
#include "insight/layouts.h"
#include "insight/scale_view.h"
#include "insight/shortlist.h"
#include "lick/expand.h"

namespace fretloom {

/// A note of the rule: a number (what it counts from is its user's) and -1, 0 or 1 semitone.
struct Step {
  int number = 0;
  int alter = 0;

  friend bool operator==(const Step&, const Step&) = default;
};

/// A note that the rule expects; `number` in the scale.
struct Expected {
  int string = 0;  ///< 0: nowhere
  int number = 0;
  int alter = 0;
};

/// Where the rule ends and an ending begins, and what slips, ending and return cost.
struct Extent {
  double bits = 0;
  std::size_t ruled = 0;  ///< notes before the ending
  int repeats = 0;        ///< begun on the way out
  std::size_t slips = 0;
  Tells tells = Tells::all;
};

/// Three of four notes must follow, or it is no rule of this phrase.
[[nodiscard]] constexpr bool is_too_wrong(std::size_t wrong, std::size_t notes) { return wrong * 4 > notes; }

/// Adds the return of a cycle that turns round. False where the rule has no mirror image on this layout.
/// `carry_steps`: of a cell; a sequence stays where it is.
[[nodiscard]] bool add_return(const ScaleView& view, const PerString& first, const LayoutChoice& choice,
                              const Cycle& cycle, int carry_steps, std::vector<Expected>& expected);

/// The cheapest way to tell the phrase by these expected notes; nothing where too few follow.
[[nodiscard]] std::optional<Extent> extent_of(const ScaleView& view, const Cycle& cycle,
                                              std::span<const Expected> expected);

/// What a note costs at the least that does not follow: as a slip, or in an ending where there may be one.
[[nodiscard]] double least_miss_bits(const ScaleView& view, const Cycle& cycle);

/// What two notes a period apart cost at the least that do not lie as the carry says: one of them is a slip, and a note
/// is in two such pairs; or the later one is in an ending.
[[nodiscard]] double least_pair_bits(const ScaleView& view, const Cycle& cycle);

/// Whether each note of a sequence may be an altered one: a quarter of its notes lie outside the scale.
void find_altered(const ScaleView& view, const Cycle& cycle, std::span<bool> altered);

/// The steps with the most votes: unaltered ones first, of equals what came first.
class BestSteps {
 public:
  static constexpr std::size_t k_most = 4;  ///< more that are as good are left out

  void add(const Step& step) {
    if (count_ < steps_.size()) steps_[count_++] = step;
  }
  [[nodiscard]] const Step* begin() const { return steps_.data(); }
  [[nodiscard]] const Step* end() const { return steps_.data() + count_; }
  [[nodiscard]] const Step& front() const { return steps_.front(); }
  [[nodiscard]] std::size_t size() const { return count_; }

 private:
  std::array<Step, k_most> steps_;
  std::size_t count_ = 0;
};

/// The votes of the repetitions for a note of the rule.
class Votes {
 public:
  void add(const Step& step);
  /// Adds to every step the votes that `more` says.
  template <class More>
  void raise(More more) {
    for (std::size_t i = 0; i < count_; ++i) rows_[i].count += more(rows_[i].step());
  }
  [[nodiscard]] BestSteps best() const;
  [[nodiscard]] std::size_t most() const;
  /// Of the steps that have fewer votes than the best.
  [[nodiscard]] std::size_t second() const;

 private:
  struct Row {
    int number;  // not set by itself: there is room for many more than there are
    int alter;
    std::size_t count;

    [[nodiscard]] Step step() const { return {number, alter}; }
  };
  std::array<Row, 4 * std::size_t{k_max_repeats}> rows_;  // each repetition has at most four
  std::size_t count_ = 0;
};

/// The tokens of a cycle, with `number` what the rule writes for each step.
[[nodiscard]] std::vector<RuleToken> tokens_of(const Cycle& cycle, std::span<const Step> steps);

}  // namespace fretloom
