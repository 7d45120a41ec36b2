#include "sheet/breaking.h"

#include <algorithm>
#include <cmath>

#include "base/arithmetic.h"

namespace fretloom::sheet {

namespace {

constexpr double k_overfull = 1e12;
constexpr double k_never = 1e18;
constexpr double k_page = 0.2;         // a page costs a little, so that none is opened in vain
constexpr double k_hidden = 0.5;       // share of the white that gaps take up which no longer disturbs
constexpr double k_tight_page = 0.01;  // of a page whose gaps are closed as far as they go

/// Least-cost chain of breaks: cost(i, j) is that of one line (or page) with items i to j; `stop` says
/// that longer lines from i cannot be better.
std::vector<int> best_breaks(int count, const std::function<double(int, int, bool&)>& cost) {
  std::vector<double> best(static_cast<std::size_t>(count) + 1, k_never * 1e3);
  std::vector<int> next(static_cast<std::size_t>(count) + 1, count);
  best[static_cast<std::size_t>(count)] = 0;
  for (int first = count - 1; first >= 0; --first) {
    bool stop = false;
    for (int last = first; last < count && !stop; ++last) {
      const double total = cost(first, last, stop) + best[static_cast<std::size_t>(last) + 1];
      if (total <= best[static_cast<std::size_t>(first)]) {
        best[static_cast<std::size_t>(first)] = total;
        next[static_cast<std::size_t>(first)] = last + 1;
      }
    }
  }
  std::vector<int> starts;
  for (int at = 0; at < count; at = next[static_cast<std::size_t>(at)]) starts.push_back(at);
  return starts;
}

}  // namespace

double line_cost(const LineProblem& problem, int first, int last) {
  std::vector<Gap> gaps;
  for (int i = first; i <= last; ++i) {
    const auto& bar = problem.bars[static_cast<std::size_t>(i)];
    gaps.insert(gaps.end(), bar.begin(), bar.end());
  }
  const double room = first == 0 ? problem.first_width : problem.width;
  const double least = width_at(gaps, 0);
  if (least > room)
    return k_overfull * (least / room) * (least / room);  // squared: two overfull lines cost less than one of both
  const bool closing = last + 1 == static_cast<int>(problem.bars.size());
  const double natural = width_at(gaps, 1);
  if (closing && natural <= room) {
    const double free = (room - natural) / room;
    return 1 + 200 * free * free;
  }
  const double force = force_for(gaps, room);
  if (force <= 0) return k_overfull;
  const double r = std::fabs(log2_of(force));
  const double badness = 1 + 100 * r * r * r;
  return badness * badness;
}

std::vector<int> break_into_lines(const LineProblem& problem) {
  const int count = static_cast<int>(problem.bars.size());
  return best_breaks(count, [&](int first, int last, bool& stop) {
    const double cost = line_cost(problem, first, last);
    // More bars only add to an overfull line.
    if (cost >= k_overfull) stop = true;
    return cost;
  });
}

namespace {

/// A page's blocks with their inner gaps at their natural size, and what those gaps give.
struct PageSum {
  double used = 0;
  double shrink = 0;
  double stretch = 0;
};

PageSum sum_of(const std::vector<PageBlock>& blocks, int first, int last) {
  PageSum sum;
  for (int i = first; i <= last; ++i) {
    const PageBlock& block = blocks[static_cast<std::size_t>(i)];
    sum.used += block.height;
    if (i == first) continue;
    sum.used += block.gap.natural;
    sum.shrink += block.gap.shrink;
    sum.stretch += block.gap.stretch;
  }
  return sum;
}

}  // namespace

double page_force(const std::vector<PageBlock>& blocks, int first, int last, double height) {
  const PageSum sum = sum_of(blocks, first, last);
  const double free = height - sum.used;
  if (free < 0) return sum.shrink > 0 ? std::max(-1.0, free / sum.shrink) : 0;
  if (sum.stretch <= 0) return 0;
  if (last + 1 == static_cast<int>(blocks.size()) && free > sum.stretch) return 0;
  return std::min(1.0, free / sum.stretch);
}

std::vector<int> break_into_pages(const std::vector<PageBlock>& blocks, double height) {
  const int count = static_cast<int>(blocks.size());
  return best_breaks(count, [&](int first, int last, bool& stop) {
    const PageSum sum = sum_of(blocks, first, last);
    if (sum.used - sum.shrink > height) {
      stop = true;
      return first == last ? k_overfull : k_never;
    }
    const double force = page_force(blocks, first, last, height);
    const double tight = force < 0 ? k_tight_page * force * force : 0;
    if (last + 1 == count) return k_page + tight;
    if (blocks[static_cast<std::size_t>(last)].keep_with_next) return 1e9;
    const double white = std::max(0.0, height - sum.used);
    const double free = (white - k_hidden * std::min(white, sum.stretch)) / height;
    return k_page + tight + free * free + blocks[static_cast<std::size_t>(last) + 1].break_cost;
  });
}

}  // namespace fretloom::sheet
