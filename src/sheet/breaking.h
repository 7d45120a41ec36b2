#pragma once
// Stage 4: where lines and pages break, chosen for the whole passage at once.

#include <functional>
#include <vector>

#include "sheet/spacing.h"

namespace fretloom::sheet {

/// Bars that may share a line, as the line breaker sees them.
struct LineProblem {
  std::vector<std::vector<Gap>> bars;  ///< gaps of each bar, lead and closing bar line as stiff gaps
  double first_width = 100;            ///< room for bars on the first line, staff spaces
  double width = 100;                  ///< on every other line
  bool last_not_alone = false;         ///< the last bar is no line of its own if that can be helped: a lone landing
};

/// By how much the rods of a line give, as a share, where that saves a last line from a lone landing.
inline constexpr double k_tighten = 0.06;

/// How far a line of bars [first, last] stands from its natural width, as a cost (Knuth and Plass 1981,
/// "Breaking paragraphs into lines": (1 + 100 |r|^3)^2, with r = log2 of the force). A line whose rods are wider than
/// the room by up to k_tighten costs 1e9 and more, but 3e4 where it is the last and so gives the landing company; a
/// last bar alone against the problem's wish costs 1e10, rods wider still 1e12 times the square of their share; the
/// last line may stay short for a small cost that grows with the room left.
[[nodiscard]] double line_cost(const LineProblem& problem, int first, int last);

/// First bar of every line, by dynamic programming over all breaks; least sum of costs, of equals the
/// one with the later breaks. Empty for no bars. Precondition: every bar has a rod of a space or more (its
/// lead), so that an overfull line only gets worse with more bars.
[[nodiscard]] std::vector<int> break_into_lines(const LineProblem& problem);
/// The same for a given number of lines; empty where no line of it would be within its room.
[[nodiscard]] std::vector<int> break_into_lines(const LineProblem& problem, int lines);

/// The white before a block: what it wants to be, how far it may close, how far it may open.
struct PageGap {
  double natural = 0;
  double shrink = 0;
  double stretch = 0;
};

/// A block of a page: a heading, a paragraph, a system.
struct PageBlock {
  double height = 0;
  PageGap gap;                  ///< before it; dropped at the top of a page
  bool keep_with_next = false;  ///< no break after it
  double break_cost = 0;        ///< of a page break before it, in the unit of (free room / page)^2
  bool is_system = false;
  bool opens_page = false;  ///< a break before it, always
};

/// Heights of a page between its head and its foot.
struct PageRoom {
  double first = 100;
  double others = 100;

  [[nodiscard]] double of(int page) const { return page == 0 ? first : others; }
};

/// First block of every page; least sum over all pages but the last of (free room / page)^2, room that gaps open into
/// counted half, of a small cost for gaps that close, of the breaks' costs, and of 1e6 for a page with one system
/// alone. A part that opens a page and the next that does are broken each for itself: the last page of each may end
/// early, and its only system stands alone without a cost. A block taller than a page stands alone on one.
[[nodiscard]] std::vector<int> break_into_pages(const std::vector<PageBlock>& blocks, const PageRoom& room);

/// The sum that break_into_pages makes least.
[[nodiscard]] double cost_of_pages(const std::vector<PageBlock>& blocks, const std::vector<int>& starts,
                                   const PageRoom& room);

/// How far the gaps of a page with blocks [first, last] open (0 to 1, of their stretch) to fill it, or close (-1 to 0,
/// of their shrink).
[[nodiscard]] double page_force(const std::vector<PageBlock>& blocks, int first, int last, double height);
/// The same for every page. A last page opens no further than the others do on the average; alone, not at all.
[[nodiscard]] std::vector<double> page_forces(const std::vector<PageBlock>& blocks, const std::vector<int>& starts,
                                              const PageRoom& room);
/// Pages with one system alone that cost.
[[nodiscard]] std::vector<int> lone_pages(const std::vector<PageBlock>& blocks, const std::vector<int>& starts);
/// Pages with one system alone, then those that stay white by more than a quarter, but for the last of a part.
[[nodiscard]] std::vector<int> uneven_pages(const std::vector<PageBlock>& blocks, const std::vector<int>& starts,
                                            const PageRoom& room);

}  // namespace fretloom::sheet
