#pragma once
// How far a phrase follows a rule on a layout, and what is left over.

#include <optional>
#include <span>
#include <vector>

#include "insight/cycle.h"
#include "insight/layouts.h"
#include "insight/scale_view.h"
#include "insight/shortlist.h"

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
  Tells tells = Tells::all;
};

/// Adds the return of a cycle that turns round. False where the rule has no mirror image on this layout.
/// `carry_steps`: of a cell; a sequence stays where it is.
[[nodiscard]] bool add_return(const ScaleView& view, const PerString& first, const LayoutChoice& choice,
                              const Cycle& cycle, int carry_steps, std::vector<Expected>& expected);

/// The cheapest way to tell the phrase by these expected notes; nothing where too few follow.
[[nodiscard]] std::optional<Extent> extent_of(const ScaleView& view, const Cycle& cycle,
                                              std::span<const Expected> expected);

/// The votes of the repetitions for a note of the rule.
class Votes {
 public:
  void add(const Step& step);
  /// Adds to every step the votes that `more` says.
  template <class More>
  void raise(More more) {
    for (Row& row : rows_) row.count += more(row.step);
  }
  /// Those with the most votes: unaltered ones first, of equals what came first.
  [[nodiscard]] std::vector<Step> best() const;
  [[nodiscard]] std::size_t most() const;

 private:
  struct Row {
    Step step;
    std::size_t count = 0;
  };
  std::vector<Row> rows_;
};

/// The tokens of a cycle, with `number` what the rule writes for each step.
[[nodiscard]] std::vector<RuleToken> tokens_of(const Cycle& cycle, std::span<const Step> steps);

}  // namespace fretloom
