#include "sheet/breaking.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "sheet/beam.h"
#include "sheet/skyline.h"

namespace fretloom::sheet {
namespace {

std::vector<Gap> random_gaps(int most) {
  std::vector<Gap> gaps;
  const int count = *rc::gen::inRange(1, most);
  for (int i = 0; i < count; ++i)
    gaps.push_back({0.5 + *rc::gen::inRange(0, 60) / 10.0, *rc::gen::inRange(0, 60) / 10.0});
  return gaps;
}

// Gourlay/Renz (REFERENCES, Engraving): equal to halving the interval of the same sum.
RC_GTEST_PROP(Spacing, ForceEqualsBisection, ()) {
  const auto gaps = random_gaps(14);
  const double width = width_at(gaps, 0) + *rc::gen::inRange(1, 400) / 10.0;
  double low = 0;
  double high = 1e4;
  for (int i = 0; i < 200; ++i) {
    const double middle = (low + high) / 2;
    (width_at(gaps, middle) < width ? low : high) = middle;
  }
  const double force = force_for(gaps, width);
  RC_ASSERT(std::fabs(width_at(gaps, force) - width) < 1e-6);
  RC_ASSERT(std::fabs(width_at(gaps, force) - width_at(gaps, high)) < 1e-6);
}

TEST(Spacing, DoublingATimeValueAddsHalfTheShortestWidth) {
  EXPECT_DOUBLE_EQ(spring_width(Rational(1, 16), Rational(1, 16), 2), 2);
  EXPECT_DOUBLE_EQ(spring_width(Rational(1, 8), Rational(1, 16), 2), 3);
  EXPECT_DOUBLE_EQ(spring_width(Rational(1, 4), Rational(1, 16), 2), 4);
}

TEST(Spacing, NoForceWhereRodsFillTheLine) {
  EXPECT_EQ(force_for({{1, 5}, {1, 5}}, 10), 0);
  EXPECT_EQ(force_for({}, 10), 0);
}

double cost_of(const LineProblem& problem, unsigned breaks) {
  const int count = static_cast<int>(problem.bars.size());
  double cost = 0;
  int first = 0;
  for (int i = 0; i < count; ++i) {
    if (i + 1 < count && ((breaks >> static_cast<unsigned>(i)) & 1U) == 0) continue;
    cost += line_cost(problem, first, i);
    first = i + 1;
  }
  return cost;
}

RC_GTEST_PROP(Breaking, LinesEqualBruteForce, ()) {
  LineProblem problem;
  const int count = *rc::gen::inRange(1, 10);
  for (int i = 0; i < count; ++i) {
    problem.bars.push_back(random_gaps(6));
    problem.bars.back().push_back({1e-9, 1.5});  // the lead
  }
  problem.first_width = *rc::gen::inRange(10, 60);
  problem.width = problem.first_width + *rc::gen::inRange(0, 8);
  double best = 1e300;
  for (unsigned breaks = 0; breaks < (1U << static_cast<unsigned>(count - 1)); ++breaks)
    best = std::min(best, cost_of(problem, breaks));
  unsigned ours = 0;
  for (const int start : break_into_lines(problem)) {
    if (start > 0) ours |= 1U << static_cast<unsigned>(start - 1);
  }
  RC_ASSERT(std::fabs(cost_of(problem, ours) - best) <= 1e-9 * std::max(1.0, best));
}

TEST(Breaking, PagesKeepHeadingsWithTheirMusic) {
  const std::vector<PageBlock> blocks = {
      {40, {}, false, 0}, {40, {2, 0, 0}, false, 0}, {10, {2, 0, 0}, true, 0}, {40, {2, 0, 0}, false, 0}};
  EXPECT_EQ(break_into_pages(blocks, 100), (std::vector<int>{0, 2}));
}

TEST(Breaking, ABlockTallerThanAPageStandsAlone) {
  EXPECT_EQ(break_into_pages({{10, {}, false, 0}, {300, {2, 0, 0}, false, 0}, {10, {2, 0, 0}, false, 0}}, 100),
            (std::vector<int>{0, 1, 2}));
}

TEST(Breaking, GapsCloseWhereThatLetsABlockOn) {
  const std::vector<PageBlock> blocks = {{48, {}, false, 0}, {48, {5, 2, 0}, false, 0}, {10, {5, 2, 0}, false, 0}};
  EXPECT_EQ(break_into_pages(blocks, 100), (std::vector<int>{0, 2}));
  EXPECT_EQ(page_force(blocks, 0, 1, 100), -0.5);
  const std::vector<PageBlock> stiff = {{48, {}, false, 0}, {48, {5, 0.5, 0}, false, 0}, {10, {5, 0, 0}, false, 0}};
  EXPECT_EQ(break_into_pages(stiff, 100), (std::vector<int>{0, 1}));
}

TEST(Breaking, GapsOpenUntilThePageIsFull) {
  const std::vector<PageBlock> blocks = {
      {40, {}, false, 0}, {40, {4, 0, 8}, false, 0}, {40, {4, 0, 8}, false, 0}, {40, {4, 0, 8}, false, 0}};
  EXPECT_EQ(page_force(blocks, 0, 1, 90), 0.75);
  EXPECT_EQ(page_force(blocks, 0, 1, 200), 1);
  EXPECT_EQ(page_force(blocks, 2, 3, 90), 0.75);
  EXPECT_EQ(page_force(blocks, 2, 3, 200), 0);  // the last page is not torn apart
}

/// Every way to cut the blocks into pages, by brute force.
RC_GTEST_PROP(Breaking, PagesEqualBruteForce, ()) {
  constexpr double k_height = 100;
  std::vector<PageBlock> blocks;
  const int count = *rc::gen::inRange(1, 10);
  for (int i = 0; i < count; ++i) {
    const double height = *rc::gen::inRange(5, 45);
    const PageGap gap{double(*rc::gen::inRange(2, 6)), 0.5 * *rc::gen::inRange(0, 4), double(*rc::gen::inRange(0, 6))};
    blocks.push_back({height, gap, *rc::gen::inRange(0, 4) == 0 && i + 1 < count, 0.02 * *rc::gen::inRange(0, 5)});
  }
  const auto cost_of_page = [&](int first, int last) {
    double used = 0;
    double shrink = 0;
    double stretch = 0;
    for (int i = first; i <= last; ++i) {
      const PageBlock& block = blocks[static_cast<std::size_t>(i)];
      used += block.height + (i == first ? 0 : block.gap.natural);
      shrink += i == first ? 0 : block.gap.shrink;
      stretch += i == first ? 0 : block.gap.stretch;
    }
    if (used - shrink > k_height) return 1e18;
    const double closed = used > k_height ? (used - k_height) / shrink : 0;
    double cost = 0.2 + 0.01 * closed * closed;
    if (last + 1 == count) return cost;
    if (blocks[static_cast<std::size_t>(last)].keep_with_next) return 1e9;
    const double white = std::max(0.0, k_height - used);
    const double free = (white - 0.5 * std::min(white, stretch)) / k_height;
    return cost + free * free + blocks[static_cast<std::size_t>(last) + 1].break_cost;
  };
  const auto cost_of_breaks = [&](unsigned breaks) {
    double cost = 0;
    int first = 0;
    for (int i = 0; i < count; ++i) {
      if (i + 1 < count && ((breaks >> static_cast<unsigned>(i)) & 1U) == 0) continue;
      cost += cost_of_page(first, i);
      first = i + 1;
    }
    return cost;
  };
  double best = 1e300;
  for (unsigned breaks = 0; breaks < (1U << static_cast<unsigned>(count - 1)); ++breaks)
    best = std::min(best, cost_of_breaks(breaks));
  unsigned ours = 0;
  for (const int start : break_into_pages(blocks, k_height)) {
    if (start > 0) ours |= 1U << static_cast<unsigned>(start - 1);
  }
  RC_ASSERT(std::fabs(cost_of_breaks(ours) - best) <= 1e-9 * std::max(1.0, best));
}

TEST(Beam, StemsPointToTheMiddleLine) {
  EXPECT_EQ(stem_direction({-4, -2}), StemDirection::up);
  EXPECT_EQ(stem_direction({4, -2}), StemDirection::down);
  EXPECT_EQ(stem_direction({0}), StemDirection::down);
  EXPECT_EQ(stem_direction({3, -3, -3}), StemDirection::up);
}

TEST(Beam, RisesWithItsNotesAndStaysLevelWhereTheyDoNot) {
  const BeamLine rising =
      place_beam({{0, -6, 2, 0, 0}, {3, -5, 2, 0, 0}, {6, -4, 2, 0, 0}, {9, -3, 2, 0, 0}}, StemDirection::up);
  EXPECT_LT(rising.right, rising.left);  // y grows downward
  const BeamLine level =
      place_beam({{0, -4, 2, 0, 0}, {3, -2, 2, 0, 0}, {6, -3, 2, 0, 0}, {9, -4, 2, 0, 0}}, StemDirection::up);
  EXPECT_EQ(level.left, level.right);
}

RC_GTEST_PROP(Beam, NoStemIsTooShort, ()) {
  std::vector<BeamStem> stems;
  std::vector<int> positions;
  const int count = *rc::gen::inRange(2, 13);
  for (int i = 0; i < count; ++i) {
    stems.push_back({2.0 * i, *rc::gen::inRange(-14, 15), *rc::gen::inRange(1, 5), 0, 0});
    positions.push_back(stems.back().position);
  }
  const StemDirection direction = stem_direction(positions);
  const BeamLine line = place_beam(stems, direction);
  for (const BeamStem& stem : stems) {
    const double end = line.at(stem.x, stems.front().x, stems.back().x);
    const double length = (direction == StemDirection::up ? 1 : -1) * (-0.5 * stem.position - end);
    RC_ASSERT(length >= shortest_stem(stem.beams) - 1e-9);
  }
}

TEST(Skyline, KnowsTheOutermostEdgeOfASpan) {
  Skyline above(Side::above, 0);
  above.add(Box{2, -3, 4, 1});
  above.add(Box{10, -1, 30, 0});
  EXPECT_EQ(above.reach(0, 2), 0);
  EXPECT_EQ(above.reach(3, 3.5), -3);
  EXPECT_EQ(above.reach(20, 21), -1);
  Skyline below(Side::below, 4);
  below.add(Box{2, -3, 4, 7});
  EXPECT_EQ(below.reach(0, 50), 7);
}

}  // namespace
}  // namespace fretloom::sheet
