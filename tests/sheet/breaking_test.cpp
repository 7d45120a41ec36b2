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
  EXPECT_EQ(break_into_pages(blocks, {100, 100}), (std::vector<int>{0, 2}));
}

TEST(Breaking, ABlockTallerThanAPageStandsAlone) {
  EXPECT_EQ(break_into_pages({{10, {}, false, 0}, {300, {2, 0, 0}, false, 0}, {10, {2, 0, 0}, false, 0}}, {100, 100}),
            (std::vector<int>{0, 1, 2}));
}

TEST(Breaking, GapsCloseWhereThatLetsABlockOn) {
  const std::vector<PageBlock> blocks = {{48, {}, false, 0}, {48, {5, 2, 0}, false, 0}, {10, {5, 2, 0}, false, 0}};
  EXPECT_EQ(break_into_pages(blocks, {100, 100}), (std::vector<int>{0, 2}));
  EXPECT_EQ(page_force(blocks, 0, 1, 100), -0.5);
  const std::vector<PageBlock> stiff = {{48, {}, false, 0}, {48, {5, 0.5, 0}, false, 0}, {10, {5, 0, 0}, false, 0}};
  EXPECT_EQ(break_into_pages(stiff, {100, 100}), (std::vector<int>{0, 1}));
}

TEST(Breaking, GapsOpenUntilThePageIsFull) {
  const std::vector<PageBlock> blocks = {
      {40, {}, false, 0}, {40, {4, 0, 8}, false, 0}, {40, {4, 0, 8}, false, 0}, {40, {4, 0, 8}, false, 0}};
  EXPECT_EQ(page_force(blocks, 0, 1, 90), 0.75);
  EXPECT_EQ(page_force(blocks, 0, 1, 200), 1);
  EXPECT_EQ(page_force(blocks, 2, 3, 90), 0.75);
  const PageRoom room{90, 200};
  EXPECT_EQ(page_forces(blocks, {0, 2}, room), (std::vector<double>{0.75, 0.75}));  // the last no more than the others
  EXPECT_EQ(page_forces(blocks, {0}, {300, 300}), (std::vector<double>{0}));
}

/// Every way to cut the blocks into pages, by brute force: cost of one page as breaking.h has it.
struct BruteForce {
  std::vector<PageBlock> blocks;
  PageRoom room;

  [[nodiscard]] bool ends(int last) const {
    return last + 1 == static_cast<int>(blocks.size()) || blocks[static_cast<std::size_t>(last) + 1].opens_page;
  }
  [[nodiscard]] int systems(int first, int last) const {
    int count = 0;
    for (int i = first; i <= last; ++i) count += blocks[static_cast<std::size_t>(i)].is_system ? 1 : 0;
    return count;
  }
  [[nodiscard]] int systems_around(int block) const {
    int first = block;
    while (first > 0 && !blocks[static_cast<std::size_t>(first)].opens_page) --first;
    int last = block;
    while (!ends(last)) ++last;
    return systems(first, last);
  }
  [[nodiscard]] double page(int first, int last) const {
    double used = 0;
    double shrink = 0;
    double stretch = 0;
    for (int i = first; i <= last; ++i) {
      const PageBlock& block = blocks[static_cast<std::size_t>(i)];
      if (i > first && block.opens_page) return 1e18;
      used += block.height + (i == first ? 0 : block.gap.natural);
      shrink += i == first ? 0 : block.gap.shrink;
      stretch += i == first ? 0 : block.gap.stretch;
    }
    const double height = first == 0 ? room.first : room.others;
    if (used - shrink > height) return 1e18;
    const double closed = used > height ? (used - height) / shrink : 0;
    double cost = 0.2 + 0.01 * closed * closed;
    if (systems(first, last) == 1 && systems_around(first) > 1) cost += 1e6;
    if (ends(last)) return cost;
    if (blocks[static_cast<std::size_t>(last)].keep_with_next) return 1e9;
    const double white = std::max(0.0, height - used);
    const double free = (white - 0.5 * std::min(white, stretch)) / height;
    return cost + free * free + blocks[static_cast<std::size_t>(last) + 1].break_cost;
  }
  [[nodiscard]] double all(unsigned breaks) const {
    double cost = 0;
    int first = 0;
    const auto count = static_cast<int>(blocks.size());
    for (int i = 0; i < count; ++i) {
      if (i + 1 < count && ((breaks >> static_cast<unsigned>(i)) & 1U) == 0) continue;
      cost += page(first, i);
      first = i + 1;
    }
    return cost;
  }
};

RC_GTEST_PROP(Breaking, PagesEqualBruteForce, ()) {
  BruteForce brute{{}, {double(*rc::gen::inRange(80, 120)), 100}};
  const int count = *rc::gen::inRange(1, 12);
  for (int i = 0; i < count; ++i) {
    const double height = *rc::gen::inRange(5, 45);
    const PageGap gap{double(*rc::gen::inRange(2, 6)), 0.5 * *rc::gen::inRange(0, 4), double(*rc::gen::inRange(0, 6))};
    const bool opens = i > 0 && *rc::gen::inRange(0, 8) == 0;
    if (opens) brute.blocks.back().keep_with_next = false;
    brute.blocks.push_back({height, gap, *rc::gen::inRange(0, 4) == 0 && i + 1 < count, 0.02 * *rc::gen::inRange(0, 5),
                            *rc::gen::inRange(0, 2) == 0, opens});
  }
  double best = 1e300;
  for (unsigned breaks = 0; breaks < (1U << static_cast<unsigned>(count - 1)); ++breaks)
    best = std::min(best, brute.all(breaks));
  unsigned ours = 0;
  const std::vector<int> starts = break_into_pages(brute.blocks, brute.room);
  for (const int start : starts) {
    if (start > 0) ours |= 1U << static_cast<unsigned>(start - 1);
  }
  RC_ASSERT(std::fabs(brute.all(ours) - best) <= 1e-9 * std::max(1.0, best));
  if (best < 1e9) RC_ASSERT(lone_pages(brute.blocks, starts).size() == static_cast<std::size_t>(best / 1e6));
}

TEST(Breaking, APageWithOneSystemGetsAnotherFromThePageBefore) {
  const PageBlock system{30, {2, 0, 2}, false, 0, true};
  EXPECT_EQ(break_into_pages({system, system, system, system}, {100, 100}), (std::vector<int>{0, 2}));
  EXPECT_EQ(break_into_pages({system}, {100, 100}), (std::vector<int>{0}));
  PageBlock idea = system;
  idea.opens_page = true;  // its own system alone
  EXPECT_EQ(break_into_pages({system, system, idea}, {100, 100}), (std::vector<int>{0, 2}));
  EXPECT_TRUE(lone_pages({system, system, idea}, {0, 2}).empty());
}

/// Bars with rods of 10 in lines of 21: the landing, alone behind three lines, is drawn up by rods that give 6%, or
/// takes company from the line before.
TEST(Breaking, ALandingIsNoLineOfItsOwn) {
  const std::vector<Gap> bar = {{4, 10}};
  LineProblem problem{{bar, bar, bar}, 28.5, 28.5, true};
  EXPECT_EQ(break_into_lines(problem), (std::vector<int>{0}));
  problem.first_width = problem.width = 28;  // more than 6%
  EXPECT_EQ(break_into_lines(problem), (std::vector<int>{0, 1}));
  problem.last_not_alone = false;
  EXPECT_EQ(break_into_lines(problem), (std::vector<int>{0, 2}));
}

RC_GTEST_PROP(Breaking, AGivenNumberOfLinesEqualsBruteForce, ()) {
  LineProblem problem;
  const int count = *rc::gen::inRange(1, 8);
  for (int i = 0; i < count; ++i) {
    problem.bars.push_back(random_gaps(6));
    problem.bars.back().push_back({1e-9, 1.5});
  }
  problem.first_width = *rc::gen::inRange(20, 60);
  problem.width = problem.first_width + *rc::gen::inRange(0, 8);
  problem.last_not_alone = *rc::gen::inRange(0, 2) == 0;
  const int lines = *rc::gen::inRange(1, count + 1);
  double best = 1e300;
  for (unsigned breaks = 0; breaks < (1U << static_cast<unsigned>(count - 1)); ++breaks) {
    if (__builtin_popcount(breaks) + 1 == lines) best = std::min(best, cost_of(problem, breaks));
  }
  const std::vector<int> starts = break_into_lines(problem, lines);
  RC_ASSERT(starts.empty() == (best >= 1e12));
  if (starts.empty()) return;
  unsigned ours = 0;
  for (const int start : starts) {
    if (start > 0) ours |= 1U << static_cast<unsigned>(start - 1);
  }
  RC_ASSERT(static_cast<int>(starts.size()) == lines);
  RC_ASSERT(std::fabs(cost_of(problem, ours) - best) <= 1e-9 * std::max(1.0, best));
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
