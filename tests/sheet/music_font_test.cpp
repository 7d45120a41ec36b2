#include "sheet/music_font.h"

#include <gtest/gtest.h>

#include "sheet/own_glyphs.h"

namespace fretloom::sheet {
namespace {

TEST(MusicFont, TableFollowsTheEnum) {
  for (std::size_t i = 0; i < symbol_rows().size(); ++i)
    EXPECT_EQ(static_cast<std::size_t>(symbol_rows()[i].symbol), i);
}

/// Sizes that layout counts on, for all numerals alike: they stand in rows.
TEST(OwnGlyphs, FiguresOfOneKindAreEquallyHigh) {
  const auto expect_height = [](Symbol first, int count, double top, double bottom) {
    for (int i = 0; i < count; ++i) {
      const GlyphOutline glyph = own_glyph(static_cast<Symbol>(static_cast<int>(first) + i));
      EXPECT_NEAR(glyph.box.top, top, 0.002) << i;
      EXPECT_NEAR(glyph.box.bottom, bottom, 0.002) << i;
      EXPECT_GE(glyph.box.left, -0.01);
      EXPECT_GT(glyph.box.width(), 0.4 * glyph.box.height()) << i;
      EXPECT_LT(glyph.box.width(), 0.95 * glyph.box.height()) << i;
    }
  };
  expect_height(Symbol::time_0, 10, -1, 1);
  expect_height(Symbol::tuplet_0, 10, -1.5, 0);
  expect_height(Symbol::finger_0, 5, -1, 0);
}

/// Area within a contour, positive where it turns to the left; curves by their ends, which is near enough for a sign.
double turn_of(const std::vector<Point>& contour) {
  double area = 0;
  for (std::size_t i = 0; i < contour.size(); ++i) {
    const Point& a = contour[i];
    const Point& b = contour[(i + 1) % contour.size()];
    area += a.x * b.y - b.x * a.y;
  }
  return area / 2;
}

/// Contours that turned against each other would cut holes where they overlap.
TEST(OwnGlyphs, ContoursAreClosedAndTurnTheSameWay) {
  int own = 0;
  for (const SymbolRow& row : symbol_rows()) {
    EXPECT_EQ(is_own(row.symbol), row.code == 0) << row.name;
    if (!is_own(row.symbol)) {
      EXPECT_TRUE(own_glyph(row.symbol).steps.empty());
      continue;
    }
    ++own;
    const auto steps = own_glyph(row.symbol).steps;
    ASSERT_FALSE(steps.empty()) << row.name;
    std::vector<Point> contour;
    for (const OutlineStep& step : steps) {
      if (step.kind != OutlineStep::Kind::close) {
        EXPECT_EQ(step.kind == OutlineStep::Kind::move, contour.empty()) << row.name;
        contour.push_back(step.kind == OutlineStep::Kind::curve ? step.c : step.a);
        continue;
      }
      EXPECT_LT(turn_of(contour), 0) << row.name;
      contour.clear();
    }
    EXPECT_TRUE(contour.empty()) << row.name;
  }
  EXPECT_EQ(own, 28);
}

}  // namespace
}  // namespace fretloom::sheet
