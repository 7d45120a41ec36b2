#include "draw/font_file.h"

#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "sheet/build.h"

namespace fretloom::draw {
namespace {

std::string read(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  std::stringstream text;
  text << file.rdbuf();
  return text.str();
}

/// The two numbers after a key, from `at` on.
bool pair_after(const std::string& json, const std::string& key, std::size_t at, double* out) {
  at = json.find('[', json.find("\"" + key + "\"", at));
  if (at == std::string::npos) return false;
  const char* from = json.c_str() + at + 1;
  char* end = nullptr;
  out[0] = std::strtod(from, &end);
  if (end == from) return false;
  out[1] = std::strtod(json.c_str() + json.find(',', at) + 1, nullptr);
  return true;
}

/// Four numbers of a glyph's published box, in its order: SW x, SW y, NE x, NE y.
bool published_box(const std::string& json, const std::string& name, double (&box)[4]) {
  const std::size_t at = json.find("\"" + name + "\"");
  return at != std::string::npos && pair_after(json, "bBoxSW", at, box) && pair_after(json, "bBoxNE", at, box + 2);
}

// Source of the boxes: reference/smufl-glyphs.json (SMuFL names, metadata of Bravura 1.392).
TEST(MusicFont, BoxesMatchThePublishedOnes) {
  const std::string folder = FRETLOOM_SHARED_DIR;
  if (!std::filesystem::exists(folder)) GTEST_SKIP() << "needs " << folder;
  const std::string json = read(folder + "/reference/smufl-glyphs.json");
  ASSERT_FALSE(json.empty());
  int asked = 0;
  int checked = 0;
  for (const sheet::SymbolRow& row : sheet::symbol_rows()) {
    if (row.code == 0) continue;  // ours; their own test is tests/sheet/music_font_test.cpp
    ++asked;
    double box[4];
    if (!published_box(json, std::string(row.name), box)) continue;
    ++checked;
    const sheet::Box& ours = sheet::test::music_font().box(row.symbol);
    EXPECT_NEAR(ours.left, box[0], 0.02) << row.name;
    EXPECT_NEAR(-ours.bottom, box[1], 0.02) << row.name;
    EXPECT_NEAR(ours.right, box[2], 0.02) << row.name;
    EXPECT_NEAR(-ours.top, box[3], 0.02) << row.name;
  }
  EXPECT_GE(asked, 45);
  EXPECT_GE(checked, asked - 4);
}

TEST(MusicFont, FileThatIsNotThereIsNamed) {
  const auto font = load_music_font("no/such/font.outlines");
  ASSERT_FALSE(font);
  EXPECT_EQ(font.error().kind, ErrorKind::io);
  EXPECT_NE(font.error().what.find("no/such/font.outlines"), std::string::npos);
}

TEST(MusicFont, FileOfSomethingElseIsNamed) {
  const auto font = load_music_font(FRETLOOM_BRAVURA_FILE);
  ASSERT_FALSE(font);
  EXPECT_EQ(font.error().kind, ErrorKind::syntax);
  EXPECT_NE(font.error().what.find(FRETLOOM_BRAVURA_FILE), std::string::npos);
}

}  // namespace
}  // namespace fretloom::draw
