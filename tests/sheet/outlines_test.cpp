#include "sheet/outlines.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <limits>

#include "sheet/build.h"

namespace fretloom::sheet {
namespace {

bool equal(const MusicFont& a, const MusicFont& b) {
  for (const SymbolRow& row : symbol_rows()) {
    if (!(a.glyph(row.symbol) == b.glyph(row.symbol))) return false;
  }
  return true;
}

/// Any double below 1000, of every size, thirds and tenths of nothing.
double random_length() { return std::fmod(*rc::gen::arbitrary<double>(), 1000.0) / *rc::gen::inRange(1, 1000); }

Point random_point() { return {random_length(), random_length()}; }

TEST(Outlines, ReadAsWritten) {
  rc::check([] {
    MusicFont font;
    for (const SymbolRow& row : symbol_rows()) {
      GlyphOutline glyph;
      const Point a = random_point();
      glyph.steps.push_back({OutlineStep::Kind::move, a, {}, {}});
      glyph.steps.push_back({OutlineStep::Kind::curve, random_point(), a, random_point()});
      glyph.steps.push_back({OutlineStep::Kind::line, random_point(), {}, {}});
      glyph.steps.push_back({OutlineStep::Kind::close, {}, {}, {}});
      glyph.box = {a.x, a.y, random_length(), a.x};
      glyph.advance = a.y;
      font.set(row.symbol, glyph);
    }
    const std::string text = write_outlines(font, "two\nlines");
    const auto again = read_outlines(text);
    RC_ASSERT(again.ok());
    RC_ASSERT(equal(*again, font));
    RC_ASSERT(write_outlines(*again, "two\nlines") == text);
  });
}

TEST(Outlines, IsTextAsDescribed) {
  MusicFont font;
  font.set(Symbol::head_black, {{{OutlineStep::Kind::move, {0.1, -0.5}, {}, {}},
                                 {OutlineStep::Kind::line, {1.0 / 3, 2}, {}, {}},
                                 {OutlineStep::Kind::curve, {1, 2}, {3, 4}, {5, -0.0}},
                                 {OutlineStep::Kind::close, {}, {}, {}}},
                                {0, -0.5, 1.18, 0.5},
                                1.18});
  EXPECT_EQ(write_outlines(font, "Made by hand.\n\nTwice."),
            "fretloom-outlines 1\n"
            "# Made by hand.\n"
            "#\n"
            "# Twice.\n"
            "glyph noteheadBlack 1.18 0 -0.5 1.18 0.5\n"
            "M 0.1 -0.5\n"
            "L 0.3333333333333333 2\n"
            "C 1 2 3 4 5 -0\n"
            "Z\n"
            "end\n");
}

TEST(Outlines, LackingSymbolsAreNamed) {
  MusicFont font = test::music_font();
  font.set(Symbol::rest_8, {});
  font.set(Symbol::finger_4, {});
  const auto read = read_outlines(write_outlines(font, ""));
  ASSERT_FALSE(read);
  EXPECT_EQ(read.error().kind, ErrorKind::range);
  EXPECT_EQ(read.error().what, "the music outlines lack rest8th, finger4");
}

TEST(Outlines, NoPartOfATextIsAFont) {
  const std::string text = write_outlines(test::music_font(), "");
  for (std::size_t size = 0; size < text.size(); size += size + 200 < text.size() ? 997 : 1) {
    const auto read = read_outlines(std::string_view(text).substr(0, size));
    ASSERT_FALSE(read) << size;
    EXPECT_EQ(read.error().kind, ErrorKind::syntax) << size;
  }
  EXPECT_TRUE(read_outlines(text));
}

TEST(Outlines, WrongLinesAreRefusedWithTheirPlace) {
  const std::string head = "fretloom-outlines 1\nglyph dot 1 0 0 1 1\n";
  for (const char* line : {"M 1", "M 1 2 3", "L  1 2", "L 1 2 ", "L 1,2", "C 1 2 3 4 5", "Z 1", "M nan 1", "L inf 1",
                           "L 1000 0", "Q 1 2", "", "glyph dot 1 0 0 1", "glyph", "End", "M 0x1 2", "M +1 2"}) {
    const auto read = read_outlines(head + line + "\nend\n");
    ASSERT_FALSE(read) << line;
    EXPECT_EQ(read.error().kind, ErrorKind::syntax) << line;
    EXPECT_EQ(read.error().at, head.size()) << line;
  }
  EXPECT_EQ(read_outlines("fretloom-outlines 1\nM 1 2\nend\n").error().at, 20U);  // a step before its glyph
  EXPECT_EQ(read_outlines("fretloom-outlines 2\nend\n").error().kind, ErrorKind::syntax);
}

}  // namespace
}  // namespace fretloom::sheet
