#include "draw/open_type.h"

#include <gtest/gtest.h>

#include <filesystem>

#include "outside.h"
#include "sheet/build.h"
#include "sheet/outlines.h"

namespace fretloom::draw {
namespace {

/// Without the lines of its comment.
std::string plain(const std::string& outlines) {
  std::string text;
  for (std::size_t at = 0; at < outlines.size();) {
    const std::size_t end = outlines.find('\n', at) + 1;
    if (outlines[at] != '#') text += outlines.substr(at, end - at);
    at = end;
  }
  return text;
}

// Source of the outlines: the font file itself, through FreeType.
TEST(OpenType, BuiltOutlinesAreTheFontsToTheBit) {
  const auto font = read_open_type(FRETLOOM_BRAVURA_FILE);
  ASSERT_TRUE(font) << font.error().what;
  for (const sheet::SymbolRow& row : sheet::symbol_rows()) {
    const sheet::GlyphOutline& ours = sheet::test::music_font().glyph(row.symbol);
    const sheet::GlyphOutline& theirs = font->glyph(row.symbol);
    EXPECT_TRUE(ours == theirs) << row.name;
  }
  const std::string built = test::bytes_of(FRETLOOM_MUSIC_FONT);
  EXPECT_EQ(plain(built), plain(sheet::write_outlines(*font, "")));
  EXPECT_NE(built.find("# Copyright"), std::string::npos);
}

TEST(OpenType, MissingFileNamesWhatBringsIt) {
  const auto font = read_open_type("no/such/font.woff2");
  ASSERT_FALSE(font);
  EXPECT_EQ(font.error().kind, ErrorKind::io);
  EXPECT_NE(font.error().repair.find("@fontsource/bravura-text"), std::string::npos);
}

TEST(OpenType, FontWithoutTheSymbolsIsRefused) {
  const std::string dejavu = "/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf";
  if (!std::filesystem::exists(dejavu)) GTEST_SKIP() << "needs " << dejavu;
  const auto font = read_open_type(dejavu);
  ASSERT_FALSE(font);
  EXPECT_EQ(font.error().kind, ErrorKind::range);
  EXPECT_NE(font.error().what.find("noteheadBlack"), std::string::npos);
}

}  // namespace
}  // namespace fretloom::draw
