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
};

/// How far a line of bars [first, last] stands from its natural width, as a cost (Knuth and Plass 1981,
/// "Breaking paragraphs into lines": (1 + 100 |r|^3)^2, with r = log2 of the force). A line whose rods
/// are wider than the room costs 1e12 times the square of its share; the last line may stay short for a small cost that
/// grows with the room left.
[[nodiscard]] double line_cost(const LineProblem& problem, int first, int last);

/// First bar of every line, by dynamic programming over all breaks; least sum of costs, of equals the
/// one with the later breaks. Empty for no bars. Precondition: every bar has a rod of a space or more (its
/// lead), so that an overfull line only gets worse with more bars.
[[nodiscard]] std::vector<int> break_into_lines(const LineProblem& problem);

/// A block of a page: a heading, a paragraph, a system.
struct PageBlock {
  double height = 0;
  double gap_before = 0;        ///< dropped at the top of a page
  bool keep_with_next = false;  ///< no break after it
  double break_cost = 0;        ///< of a page break before it, in the unit of (free room / page)^2
  bool break_before = false;    ///< starts a page
};

/// First block of every page; least sum of (free room / page)^2 over all pages but the last and of
/// the breaks' costs. A block
/// taller than a page stands alone on one.
[[nodiscard]] std::vector<int> break_into_pages(const std::vector<PageBlock>& blocks, double first_height,
                                                double height);

}  // namespace fretloom::sheet
