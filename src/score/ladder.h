#pragma once
// The tempos to climb. Plan, sound and pages use only these.

#include <vector>

#include "base/rational.h"

namespace fretloom {

constexpr int k_fewest_ladder_steps = 2;
constexpr int k_most_ladder_steps = 12;

/// From slow to goal in round((goal - slow) / 10) equal steps, 2 to 12, each rung between the two a whole number of
/// beats a minute: 60 to 120 gives 60 70 80 90 100 110 120. The ends stand as they are given. A slow tempo above the
/// goal climbs down alike; where two rungs would be one (60 to 61), or slow is the goal, there are fewer. Never empty.
[[nodiscard]] std::vector<Rational> ladder(const Rational& slow, const Rational& goal);

}  // namespace fretloom
