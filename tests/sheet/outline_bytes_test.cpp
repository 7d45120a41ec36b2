#include "sheet/outline_bytes.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "sheet/build.h"

namespace fretloom::sheet {
namespace {

MusicFont font_of(const GlyphOutline& glyph) {
  MusicFont font;
  for (const SymbolRow& row : symbol_rows()) font.set(row.symbol, glyph);
  return font;
}

bool equal(const MusicFont& a, const MusicFont& b) {
  for (const SymbolRow& row : symbol_rows()) {
    if (!(a.glyph(row.symbol) == b.glyph(row.symbol))) return false;
  }
  return true;
}

double random_length() { return static_cast<double>(*rc::gen::inRange(-999'999'999, 999'999'999)) / 1e6; }
Point random_point() { return {random_length(), random_length()}; }

TEST(OutlineBytes, HoldTheRealFontToTheLastBit) {
  const MusicFont& font = test::music_font();
  const auto bytes = pack_outlines(font);
  ASSERT_TRUE(bytes.ok()) << bytes.error().what;
  EXPECT_LT(bytes->size(), 32U << 10U);
  const auto again = unpack_outlines(*bytes);
  ASSERT_TRUE(again.ok());
  EXPECT_TRUE(equal(*again, font));
}

RC_GTEST_PROP(OutlineBytes, ReadAsWritten, ()) {
  GlyphOutline glyph;
  glyph.steps = {{OutlineStep::Kind::move, random_point(), {}, {}},
                 {OutlineStep::Kind::line, random_point(), {}, {}},
                 {OutlineStep::Kind::curve, random_point(), random_point(), random_point()},
                 {OutlineStep::Kind::close, {}, {}, {}}};
  glyph.box = {random_length(), random_length(), random_length(), random_length()};
  glyph.advance = random_length();
  const MusicFont font = font_of(glyph);
  const auto bytes = pack_outlines(font);
  RC_ASSERT(bytes.ok());
  const auto again = unpack_outlines(*bytes);
  RC_ASSERT(again.ok());
  RC_ASSERT(equal(*again, font));
}

TEST(OutlineBytes, RefuseLengthsThatAreNotOnTheGrid) {
  GlyphOutline glyph;
  glyph.box = {0, 0, 1, 1};
  glyph.advance = 1.0 / 3;
  EXPECT_FALSE(pack_outlines(font_of(glyph)).ok());
  glyph.advance = on_outline_grid(1.0 / 3);
  EXPECT_TRUE(pack_outlines(font_of(glyph)).ok());
  glyph.advance = 1000;
  EXPECT_FALSE(pack_outlines(font_of(glyph)).ok());
}

TEST(OutlineBytes, RefuseWhatIsCutShortOrTooLong) {
  const auto bytes = pack_outlines(test::music_font());
  ASSERT_TRUE(bytes.ok());
  for (std::size_t size = 0; size < bytes->size(); size += 97)
    EXPECT_FALSE(unpack_outlines(bytes->substr(0, size)).ok());
  EXPECT_FALSE(unpack_outlines(*bytes + '\0').ok());
}

}  // namespace
}  // namespace fretloom::sheet
