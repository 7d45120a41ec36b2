#include "sheet/beam.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "sheet/music_font.h"

namespace fretloom::sheet {

namespace {

constexpr double k_step = 0.25;
constexpr double k_sign_gap = 0.2;  // between an accidental and the innermost beam
constexpr double k_extra_beam = Engraving::beam + Engraving::beam_gap;
constexpr double k_short_weight = 4;  // a stem under its ideal disturbs more than one above
constexpr double k_long_weight = 1;
constexpr double k_slope_weight = 10;
constexpr double k_wedge_weight = 3;  // a beam's edge in the middle of a space leaves a wedge of white

double y_of(int position) { return -0.5 * position; }

/// +1 if the inner notes stick out past the line between the outer ones on the beam's side.
bool is_concave(const std::vector<BeamStem>& stems, StemDirection direction) {
  const int side = direction == StemDirection::up ? 1 : -1;
  const int outer = std::max(side * stems.front().position, side * stems.back().position);
  return std::any_of(stems.begin() + 1, stems.end() - 1,
                     [&](const BeamStem& stem) { return side * stem.position >= outer; });
}

/// Wanted y of the right end less that of the left.
double wanted_slope(const std::vector<BeamStem>& stems, StemDirection direction) {
  const int interval = stems.back().position - stems.front().position;
  if (interval == 0 || (stems.size() > 2 && is_concave(stems, direction))) return 0;
  const double width = stems.back().x - stems.front().x;
  const double steepest = std::min(1.25, 0.14 * width);
  const double rise = std::min(steepest, 0.25 * std::abs(interval));
  return interval > 0 ? -rise : rise;
}

/// How badly a beam's outer edge stands against the staff lines: 0 or 1.
double wedge(double outer, StemDirection direction) {
  const double centre = outer + (direction == StemDirection::up ? 0.25 : -0.25);
  if (centre < -2.3 || centre > 2.3) return 0;
  const double part = centre - std::floor(centre);
  return part > 0.3 && part < 0.7 ? 1 : 0;
}

}  // namespace

StemDirection stem_direction(const std::vector<int>& positions) {
  int highest = -1000;
  int lowest = 1000;
  int sum = 0;
  for (const int p : positions) {
    highest = std::max(highest, p);
    lowest = std::min(lowest, p);
    sum += p;
  }
  if (highest != -lowest) return highest > -lowest ? StemDirection::down : StemDirection::up;
  return sum >= 0 ? StemDirection::down : StemDirection::up;
}

double shortest_stem(int beams) { return Engraving::shortest_stem + k_extra_beam * std::max(0, beams - 2); }

double ideal_stem(int position, int beams, StemDirection direction) {
  const double length = Engraving::stem_length + k_extra_beam * std::max(0, beams - 2);
  const double to_middle = 0.5 * (direction == StemDirection::up ? -position : position);
  return std::max(length, to_middle);
}

namespace {

/// Beams that may lie over a stem's head and accidental: its own, and short ones of its neighbours.
int beams_over(const std::vector<BeamStem>& stems, const BeamStem& stem) {
  int beams = stem.beams;
  if (&stem != &stems.front()) beams = std::max(beams, (&stem - 1)->beams);
  if (&stem != &stems.back()) beams = std::max(beams, (&stem + 1)->beams);
  return beams;
}

double room_of_sign(const std::vector<BeamStem>& stems, const BeamStem& stem) {
  return stem.sign + k_sign_gap + Engraving::beam + k_extra_beam * (beams_over(stems, stem) - 1);
}

bool clears_sign(const std::vector<BeamStem>& stems, const BeamStem& stem, const BeamLine& line,
                 StemDirection direction) {
  if (stem.sign <= 0) return true;
  const double first_x = stems.front().x;
  const double last_x = stems.back().x;
  const double up = direction == StemDirection::up ? 1 : -1;
  const double room = room_of_sign(stems, stem) - 1e-9;
  const double here = up * (y_of(stem.position) - line.at(stem.x, first_x, last_x));
  const double left = up * (y_of(stem.position) - line.at(std::max(first_x, stem.sign_left), first_x, last_x));
  return here >= room && left >= room;
}

}  // namespace

BeamLine place_beam(const std::vector<BeamStem>& stems, StemDirection direction) {
  const double up = direction == StemDirection::up ? 1 : -1;
  const double first_x = stems.front().x;
  const double last_x = stems.back().x;
  const double wanted = wanted_slope(stems, direction);
  // Around the height at which the outermost stem has its ideal length.
  double base = up > 0 ? 1e9 : -1e9;
  for (const BeamStem& stem : stems) {
    const double end = y_of(stem.position) - up * ideal_stem(stem.position, stem.beams, direction);
    base = up > 0 ? std::min(base, end) : std::max(base, end);
  }
  base = std::round(base / k_step) * k_step;
  BeamLine best{base, base};
  double best_cost = 1e18;
  for (int slope = -6; slope <= 6; ++slope) {
    const double rise = slope * k_step;
    if (rise * wanted < 0 || std::fabs(rise) > std::fabs(wanted) + 0.3) continue;
    for (int shift = -8; shift <= 12; ++shift) {
      BeamLine line{base + up * shift * k_step, base + up * shift * k_step + rise};
      double cost = k_slope_weight * (rise - wanted) * (rise - wanted);
      bool legal = true;
      for (const BeamStem& stem : stems) {
        const double length = up * (y_of(stem.position) - line.at(stem.x, first_x, last_x));
        if (length < shortest_stem(beams_over(stems, stem)) - 1e-9) legal = false;
        if (!clears_sign(stems, stem, line, direction)) legal = false;
        const double off = length - ideal_stem(stem.position, stem.beams, direction);
        cost += (off < 0 ? k_short_weight : k_long_weight) * off * off / static_cast<double>(stems.size());
      }
      if (!legal) continue;
      cost += k_wedge_weight * (wedge(line.left, direction) + wedge(line.right, direction));
      if (cost < best_cost - 1e-9) {
        best_cost = cost;
        best = line;
      }
    }
  }
  if (best_cost < 1e18) return best;
  // No slope fits so deep a dip: level, as far out as the shortest stem asks.
  double level = up > 0 ? 1e9 : -1e9;
  for (const BeamStem& stem : stems) {
    const double least =
        std::max(shortest_stem(beams_over(stems, stem)), stem.sign > 0 ? room_of_sign(stems, stem) : 0);
    const double end = y_of(stem.position) - up * least;
    level = up > 0 ? std::min(level, end) : std::max(level, end);
  }
  return {level, level};
}

}  // namespace fretloom::sheet
