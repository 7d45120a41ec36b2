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
};

/// First block of every page; least sum over all pages but the last of (free room / page)^2, room that
/// gaps open into counted half, of a small cost for gaps that close, and of the breaks' costs. A block taller than a
/// page stands alone on one.
[[nodiscard]] std::vector<int> break_into_pages(const std::vector<PageBlock>& blocks, double height);

/// How far the gaps of a page with blocks [first, last] open (0 to 1, of their stretch) or close (-1 to 0, of
/// their shrink). A passage's last page opens only where it is then full.
[[nodiscard]] double page_force(const std::vector<PageBlock>& blocks, int first, int last, double height);

}  // namespace fretloom::sheet
