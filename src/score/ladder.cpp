#include "score/ladder.h"

#include <algorithm>

namespace fretloom {

std::vector<Rational> ladder(const Rational& slow, const Rational& goal) {
  std::vector<Rational> rungs = {slow};
  const Rational way = goal - slow;
  const Rational distance = std::max(way, -way);
  const auto steps =
      std::clamp<std::int64_t>((distance / Rational(10)).round_half_up(), k_fewest_ladder_steps, k_most_ladder_steps);
  for (std::int64_t i = 1; i < steps; ++i) {
    const Rational rung((slow + way * Rational(i, steps)).round_half_up());
    const bool between = way > Rational(0) ? rungs.back() < rung && rung < goal : goal < rung && rung < rungs.back();
    if (between) rungs.push_back(rung);
  }
  if (goal != slow) rungs.push_back(goal);
  return rungs;
}

}  // namespace fretloom
