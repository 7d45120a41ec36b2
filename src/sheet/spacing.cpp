#include "sheet/spacing.h"

#include <algorithm>

#include "base/arithmetic.h"

namespace fretloom::sheet {

double spring_width(const Rational& duration, const Rational& shortest, double width_of_shortest) {
  const double ratio = (duration / shortest).to_double();
  return width_of_shortest * std::max(0.6, 1 + 0.5 * log2_of(ratio));
}

double width_at(const std::vector<Gap>& gaps, double force) {
  double width = 0;
  for (const Gap& gap : gaps) width += std::max(gap.rod, force * gap.spring);
  return width;
}

double force_for(const std::vector<Gap>& gaps, double width) {
  if (gaps.empty() || width_at(gaps, 0) >= width) return 0;
  // The width is a convex, rising, piecewise straight function of the force, so Newton's steps from
  // the steep end come down to the answer and stop on it after at most one step a gap.
  double springs = 0;
  for (const Gap& gap : gaps) springs += gap.spring;
  double force = width / springs;
  for (std::size_t round = 0; round <= gaps.size(); ++round) {
    double rods = 0;
    double active = 0;
    for (const Gap& gap : gaps) {
      if (force * gap.spring > gap.rod) {
        active += gap.spring;
      } else {
        rods += gap.rod;
      }
    }
    if (active <= 0) break;
    const double next = (width - rods) / active;
    if (next >= force) break;
    force = next;
  }
  return force;
}

}  // namespace fretloom::sheet
