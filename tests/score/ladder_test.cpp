#include "score/ladder.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace fretloom {
namespace {

std::vector<Rational> rungs(std::initializer_list<int> tempos) {
  std::vector<Rational> out;
  for (const int bpm : tempos) out.emplace_back(bpm);
  return out;
}

// Stated with DESIGN's rule: round((goal - slow) / 10) equal steps, 2 to 12, whole beats a minute.
TEST(Ladder, HasTheStepsOfTheDesign) {
  EXPECT_EQ(ladder(Rational(60), Rational(120)), rungs({60, 70, 80, 90, 100, 110, 120}));
  EXPECT_EQ(ladder(Rational(40), Rational(84)), rungs({40, 51, 62, 73, 84}));
  EXPECT_EQ(ladder(Rational(50), Rational(65)), rungs({50, 58, 65}));
  EXPECT_EQ(ladder(Rational(60), Rational(62)), rungs({60, 61, 62}));
  EXPECT_EQ(ladder(Rational(60), Rational(61)), rungs({60, 61}));
  EXPECT_EQ(ladder(Rational(60), Rational(60)), rungs({60}));
  EXPECT_EQ(ladder(Rational(100), Rational(60)), rungs({100, 90, 80, 70, 60}));
  EXPECT_EQ(ladder(Rational(10), Rational(600)).size(), 13U);
  EXPECT_EQ(ladder(Rational(185, 2), Rational(120)).front(), Rational(185, 2));
}

RC_GTEST_PROP(Ladder, ClimbsFromEndToEndByNearlyEqualWholeSteps, ()) {
  const Rational slow(*rc::gen::inRange(40, 1200), *rc::gen::element(1, 2, 4));
  const Rational goal = slow + Rational(*rc::gen::inRange(1, 2000), *rc::gen::element(1, 2, 4));
  const std::vector<Rational> all = ladder(slow, goal);
  RC_ASSERT(all.front() == slow);
  RC_ASSERT(all.back() == goal);
  RC_ASSERT(all.size() <= 13U);
  const Rational step = (goal - slow) / Rational(static_cast<std::int64_t>(all.size()) - 1);
  for (std::size_t i = 1; i < all.size(); ++i) {
    RC_ASSERT(all[i - 1] < all[i]);
    RC_ASSERT((i + 1 == all.size() || all[i].is_whole()));
    const Rational exact = slow + step * Rational(static_cast<std::int64_t>(i));
    RC_ASSERT((goal - slow < Rational(4) || (all[i] - exact <= Rational(1, 2) && exact - all[i] <= Rational(1, 2))));
  }
}

}  // namespace
}  // namespace fretloom
