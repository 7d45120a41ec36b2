#include "sheet/breaking.h"

#include <algorithm>
#include <cmath>

#include "base/arithmetic.h"

namespace fretloom::sheet {

namespace {

constexpr double k_overfull = 1e12;
constexpr double k_tightened = 1e9;
constexpr double k_drawn_up = 3e4;     // a last line so tight that the landing has room: as bad as a force of 2.4
constexpr double k_alone = 1e10;       // a last line's landing
constexpr double k_lone_system = 1e6;  // a page's
constexpr double k_torn = 1e9;         // from what it heads
constexpr double k_never = 1e18;
constexpr double k_page = 0.2;         // a page costs a little, so that none is opened in vain
constexpr double k_hidden = 0.5;       // share of the white that gaps take up which no longer disturbs
constexpr double k_much_white = 0.25;  // of a page
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
  const int count = static_cast<int>(problem.bars.size());
  const bool closing = last + 1 == count;
  const double wish = problem.last_not_alone && closing && first > 0 && first == last ? k_alone : 0;
  const double tightened = problem.last_not_alone && closing ? k_drawn_up : k_tightened;
  const double tightest = least * (1 - k_tighten);
  // Squared: two overfull lines cost less than one of both.
  if (tightest > room) return k_overfull * (tightest / room) * (tightest / room);
  if (least > room) return tightened * (1 + (least - room) / room) + wish;
  const double natural = width_at(gaps, 1);
  if (closing && natural <= room) {
    const double free = (room - natural) / room;
    return 1 + 200 * free * free + wish;
  }
  const double force = force_for(gaps, room);
  if (force <= 0) return tightened + wish;
  const double r = std::fabs(log2_of(force));
  const double badness = 1 + 100 * r * r * r;
  return std::min(badness * badness, tightened) + wish;
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

std::vector<int> break_into_lines(const LineProblem& problem, int lines) {
  const int count = static_cast<int>(problem.bars.size());
  if (lines < 1 || lines > count) return {};
  const auto at = [&](int used, int bar) { return static_cast<std::size_t>(used * (count + 1) + bar); };
  // best[l, b]: bars b to the last on l lines.
  std::vector<double> best(at(lines, count) + 1, k_never);
  std::vector<int> next(best.size(), count);
  best[at(0, count)] = 0;
  for (int l = 1; l <= lines; ++l) {
    for (int first = count - 1; first >= 0; --first) {
      for (int last = first; last < count; ++last) {
        const double cost = line_cost(problem, first, last);
        if (cost >= k_overfull) break;
        const double total = cost + best[at(l - 1, last + 1)];
        if (total > best[at(l, first)]) continue;
        best[at(l, first)] = total;
        next[at(l, first)] = last + 1;
      }
    }
  }
  if (best[at(lines, 0)] >= k_never) return {};
  std::vector<int> starts;
  for (int l = lines, bar = 0; l > 0; --l) {
    starts.push_back(bar);
    bar = next[at(l, bar)];
  }
  return starts;
}

namespace {

/// A page's blocks with their inner gaps at their natural size, and what those gaps give.
struct PageSum {
  double used = 0;
  double shrink = 0;
  double stretch = 0;
  int systems = 0;
};

PageSum sum_of(const std::vector<PageBlock>& blocks, int first, int last) {
  PageSum sum;
  for (int i = first; i <= last; ++i) {
    const PageBlock& block = blocks[static_cast<std::size_t>(i)];
    sum.used += block.height;
    sum.systems += block.is_system ? 1 : 0;
    if (i == first) continue;
    sum.used += block.gap.natural;
    sum.shrink += block.gap.shrink;
    sum.stretch += block.gap.stretch;
  }
  return sum;
}

/// Whether a part ends with block `last`: the handout, or all before a block that opens a page.
bool ends_part(const std::vector<PageBlock>& blocks, int last) {
  const auto next = static_cast<std::size_t>(last) + 1;
  return next == blocks.size() || blocks[next].opens_page;
}

/// Systems of the part that a block belongs to.
int systems_of_part(const std::vector<PageBlock>& blocks, int block) {
  int first = block;
  while (first > 0 && !blocks[static_cast<std::size_t>(first)].opens_page) --first;
  int last = block;
  while (!ends_part(blocks, last)) ++last;
  return sum_of(blocks, first, last).systems;
}

bool is_lone(const std::vector<PageBlock>& blocks, int first, int systems) {
  return systems == 1 && systems_of_part(blocks, first) > 1;
}

int last_of_page(const std::vector<PageBlock>& blocks, const std::vector<int>& starts, std::size_t page) {
  return (page + 1 < starts.size() ? starts[page + 1] : static_cast<int>(blocks.size())) - 1;
}

}  // namespace

double page_force(const std::vector<PageBlock>& blocks, int first, int last, double height) {
  const PageSum sum = sum_of(blocks, first, last);
  const double free = height - sum.used;
  if (free < 0) return sum.shrink > 0 ? std::max(-1.0, free / sum.shrink) : 0;
  return sum.stretch > 0 ? std::min(1.0, free / sum.stretch) : 0;
}

std::vector<double> page_forces(const std::vector<PageBlock>& blocks, const std::vector<int>& starts,
                                const PageRoom& room) {
  std::vector<double> forces;
  double sum = 0;
  int full = 0;
  for (std::size_t p = 0; p < starts.size(); ++p) {
    const int last = last_of_page(blocks, starts, p);
    forces.push_back(page_force(blocks, starts[p], last, room.of(static_cast<int>(p))));
    if (ends_part(blocks, last)) continue;
    sum += std::max(0.0, forces.back());
    ++full;
  }
  const double usual = full > 0 ? sum / full : 0;
  for (std::size_t p = 0; p < starts.size(); ++p) {
    if (ends_part(blocks, last_of_page(blocks, starts, p))) forces[p] = std::min(forces[p], usual);
  }
  return forces;
}

std::vector<int> lone_pages(const std::vector<PageBlock>& blocks, const std::vector<int>& starts) {
  std::vector<int> pages;
  for (std::size_t p = 0; p < starts.size(); ++p) {
    const PageSum sum = sum_of(blocks, starts[p], last_of_page(blocks, starts, p));
    if (is_lone(blocks, starts[p], sum.systems)) pages.push_back(static_cast<int>(p));
  }
  return pages;
}

std::vector<int> uneven_pages(const std::vector<PageBlock>& blocks, const std::vector<int>& starts,
                              const PageRoom& room) {
  std::vector<int> pages = lone_pages(blocks, starts);
  for (std::size_t p = 0; p < starts.size(); ++p) {
    const int last = last_of_page(blocks, starts, p);
    const double height = room.of(static_cast<int>(p));
    const double white = height - sum_of(blocks, starts[p], last).used;
    if (!ends_part(blocks, last) && white > k_much_white * height) pages.push_back(static_cast<int>(p));
  }
  return pages;
}

namespace {

/// `stop`: a page with more blocks cannot be better.
double page_cost(const std::vector<PageBlock>& blocks, const PageRoom& room, int first, int last, bool& stop) {
  const double height = room.of(first);
  const PageSum sum = sum_of(blocks, first, last);
  if (sum.used - sum.shrink > height) {
    stop = true;
    return first == last ? k_overfull : k_never;
  }
  const bool ends = ends_part(blocks, last);
  if (ends) stop = true;
  const double force = page_force(blocks, first, last, height);
  const double tight = force < 0 ? k_tight_page * force * force : 0;
  const double lone = is_lone(blocks, first, sum.systems) ? k_lone_system : 0;
  if (ends) return k_page + tight + lone;
  if (blocks[static_cast<std::size_t>(last)].keep_with_next) return k_torn;
  const double white = std::max(0.0, height - sum.used);
  const double free = (white - k_hidden * std::min(white, sum.stretch)) / height;
  return k_page + tight + lone + free * free + blocks[static_cast<std::size_t>(last) + 1].break_cost;
}

}  // namespace

std::vector<int> break_into_pages(const std::vector<PageBlock>& blocks, const PageRoom& room) {
  return best_breaks(static_cast<int>(blocks.size()),
                     [&](int first, int last, bool& stop) { return page_cost(blocks, room, first, last, stop); });
}

double cost_of_pages(const std::vector<PageBlock>& blocks, const std::vector<int>& starts, const PageRoom& room) {
  double cost = 0;
  bool stop = false;
  for (std::size_t p = 0; p < starts.size(); ++p)
    cost += page_cost(blocks, room, starts[p], last_of_page(blocks, starts, p), stop);
  return cost;
}

}  // namespace fretloom::sheet
