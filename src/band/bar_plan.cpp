#include "band/bar_plan.h"

#include <algorithm>
#include <initializer_list>

namespace fretloom {

namespace {

const Rational k_shortest_pulse(1, 4);  // seconds
const Rational k_longest_pulse(2);

/// Steps of the pulses that fill `steps`: fours, the last with what is left over.
std::vector<int> split_steps(std::int64_t steps) {
  std::vector<int> pulses(static_cast<std::size_t>(steps / 4), 4);
  const int rest = static_cast<int>(steps % 4);
  if (rest == 0) return pulses;
  if (rest <= 2 && !pulses.empty()) {
    pulses.back() += rest;
  } else {
    pulses.push_back(rest);
  }
  return pulses;
}

void add_roles(std::vector<int>& roles, std::size_t pulses, ThreeFeel three) {
  const auto add = [&](std::initializer_list<int> more) { roles.insert(roles.end(), more); };
  const auto add_three = [&] { three == ThreeFeel::back_beats ? add({0, 1, 3}) : add({0, 1, 2}); };
  while (pulses > 7) {
    add({0, 1, 2, 3});
    pulses -= 4;
  }
  if (pulses == 1) add({0});
  if (pulses == 2) add({0, 1});
  if (pulses == 3 || pulses == 5 || pulses == 6) add_three();
  if (pulses == 4 || pulses == 7) add({0, 1, 2, 3});
  if (pulses == 5) add({0, 1});
  if (pulses == 6 || pulses == 7) add_three();
}

/// Where sixteenths, or notes twice or half as long as often as the tempo asks, divide the bar's groups.
struct Grid {
  Rational step;                     ///< in beats
  std::vector<std::int64_t> groups;  ///< in steps
  bool coarse = false;
};

Grid grid_of(const Meter& meter, const Rational& bpm) {
  Grid grid;
  grid.step = meter.is_compound() ? Rational(1, 6) : Rational(1, 16) / meter.beat_value();
  const auto lasts = [&](const Rational& step) { return step * Rational(4 * 60) / bpm; };
  if (meter.is_compound()) {
    const auto beats = static_cast<std::size_t>(meter.beats_per_bar());
    grid.groups.assign(beats, 6);
    if (lasts(grid.step) > k_longest_pulse) {
      grid.step = Rational(1, 12);
      grid.groups.assign(beats, 12);
    } else if (lasts(grid.step) * Rational(3, 2) < k_shortest_pulse) {
      // A pulse of several compound beats: only its beats are the meter's own.
      grid.coarse = true;
      grid.step = lasts(Rational(1, 2)) < k_shortest_pulse ? Rational(1) : Rational(1, 2);
      grid.groups = {(Rational(meter.beats_per_bar()) / grid.step).floor()};
    }
    return grid;
  }
  const auto whole = [&](const Rational& step) {
    return std::all_of(meter.groups.begin(), meter.groups.end(),
                       [&](int group) { return (Rational(group) / step).is_whole(); });
  };
  while (lasts(grid.step) < k_shortest_pulse && whole(grid.step * Rational(2))) grid.step = grid.step * Rational(2);
  while (lasts(grid.step) > k_longest_pulse) grid.step = grid.step * Rational(1, 2);
  for (const int group : meter.groups) grid.groups.push_back((Rational(group) / grid.step).floor());
  return grid;
}

}  // namespace

Pulse BarPlan::pulse(int bar, std::size_t index) const {
  Pulse found = pulses[index];
  found.role = roles[static_cast<std::size_t>(bar % cycle())][index];
  return found;
}

BarPlan plan_bar(const Meter& meter, const Rational& bpm, ThreeFeel three) {
  const Grid grid = grid_of(meter, bpm);
  BarPlan plan;
  plan.coarse = grid.coarse;
  plan.pulse_seconds = grid.step * Rational(4 * 60) / bpm;
  std::vector<std::size_t> sizes;
  Rational at;
  for (const std::int64_t group : grid.groups) {
    const std::vector<int> pulses = split_steps(group);
    sizes.push_back(pulses.size());
    for (const int steps : pulses) {
      plan.pulses.push_back({at, grid.step, steps, 0});
      at += grid.step * Rational(steps);
    }
  }
  const std::size_t count = plan.pulses.size();
  const bool by_group =
      (meter.is_additive() || meter.is_compound()) && *std::max_element(sizes.begin(), sizes.end()) > 1;
  if (count == 1) {
    plan.roles = {{0}, {1}, {2}, {3}};
  } else if (count == 2) {
    plan.roles = {{0, 1}, {2, 3}};
  } else {
    plan.roles.emplace_back();
    if (!by_group) sizes = {count};
    for (const std::size_t size : sizes) add_roles(plan.roles.front(), size, three);
  }
  return plan;
}

}  // namespace fretloom
