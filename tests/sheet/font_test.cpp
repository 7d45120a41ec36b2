#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "sheet/build.h"
#include "sheet/cairo_writer.h"
#include "sheet/font_file.h"

namespace fretloom::sheet {
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
  int checked = 0;
  for (const SymbolRow& row : symbol_rows()) {
    double box[4];
    if (!published_box(json, std::string(row.name), box)) continue;
    ++checked;
    const Box& ours = test::music_font().box(row.symbol);
    EXPECT_NEAR(ours.left, box[0], 0.02) << row.name;
    EXPECT_NEAR(-ours.bottom, box[1], 0.02) << row.name;
    EXPECT_NEAR(ours.right, box[2], 0.02) << row.name;
    EXPECT_NEAR(-ours.top, box[3], 0.02) << row.name;
  }
  EXPECT_GE(checked, 65);
}

TEST(MusicFont, TableFollowsTheEnum) {
  for (std::size_t i = 0; i < symbol_rows().size(); ++i)
    EXPECT_EQ(static_cast<std::size_t>(symbol_rows()[i].symbol), i);
}

TEST(MusicFont, MissingFileNamesWhatBringsIt) {
  const auto font = load_music_font("/no/such/font.woff2");
  ASSERT_FALSE(font);
  EXPECT_EQ(font.error().kind, ErrorKind::io);
  EXPECT_NE(font.error().repair.find("@fontsource/bravura-text"), std::string::npos);
}

TEST(MusicFont, FontWithoutTheSymbolsIsRefused) {
  const auto font = load_music_font("/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf");
  if (!std::filesystem::exists("/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf")) GTEST_SKIP();
  ASSERT_FALSE(font);
  EXPECT_NE(font.error().what.find("noteheadBlack"), std::string::npos);
}

TEST(Logo, IsReadFromPngBytesOnly) {
  std::string png("\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\1\0\0\0\0\x40\x8\x6\0\0\0", 29);
  const auto logo = make_logo(png, "logo.png");
  ASSERT_TRUE(logo);
  EXPECT_EQ(logo->width, 256);
  EXPECT_EQ(logo->height, 64);
  EXPECT_FALSE(make_logo("GIF89a", "logo.gif"));
  EXPECT_FALSE(make_logo(png.substr(0, 20), "short.png"));
  const auto large = make_logo(png + std::string(k_max_logo_bytes, '\0'), "large.png");
  ASSERT_FALSE(large);
  EXPECT_EQ(large.error().kind, ErrorKind::limit);
  EXPECT_EQ(large.error().what, "the logo large.png is larger than 8 MB");
  EXPECT_FALSE(load_logo("/no/such/logo.png"));
}

TEST(TextMetrics, KnowsSignsAndBreaksLines) {
  const TextMetrics metrics;
  EXPECT_NEAR(metrics.width("12", TextStyle::regular, 2), 2 * 0.469 * 2, 1e-9);
  EXPECT_EQ(with_signs("F#m7b5"), "F\u266fm7\u266d5");
  EXPECT_EQ(with_signs("Bb"), "B\u266d");
  EXPECT_EQ(with_signs("bb7"), "\u266d\u266d7");
  EXPECT_EQ(with_signs("Bbmaj7/Db"), "B\u266dmaj7/D\u266d");
  for (const std::string& line :
       break_lines(metrics, "one two three four five sixsixsixsixsixsix seven", TextStyle::regular, 2, 9)) {
    EXPECT_LE(metrics.width(line, TextStyle::regular, 2), 9) << line;
  }
  EXPECT_LE(metrics.width(shorten(metrics, "A title that is far too long", TextStyle::bold, 2, 12), TextStyle::bold, 2),
            12);
}

// Source of the numbers: the hmtx table of Gentium Plus 6.101, in thousandths of the size.
TEST(TextMetrics, AccentsAndQuotesHaveTheirOwnWidths) {
  const TextMetrics metrics;
  for (const TextStyle style : {TextStyle::regular, TextStyle::bold, TextStyle::italic}) {
    EXPECT_NEAR(metrics.width("\u00dcb\u00e9 na\u00efve Dvo\u0159\u00e1k \u0105\u0119\u015b\u0107\u017c", style, 1),
                metrics.width("Ube naive Dvorak aescz", style, 1), 1e-9);
    EXPECT_NEAR(metrics.width("e\u0301", style, 1), metrics.width("e", style, 1), 1e-9);
  }
  EXPECT_NEAR(metrics.width("\u201c\u201d", TextStyle::bold, 1), 0.494 + 0.495, 1e-9);
  EXPECT_NEAR(metrics.width("\u2014", TextStyle::italic, 1), 0.737, 1e-9);
  EXPECT_NEAR(metrics.width("\u00df\u00f8", TextStyle::regular, 1), 0.565 + 0.503, 1e-9);
}

TEST(TextMetrics, AddressesBreakAfterTheirSlashes) {
  const TextMetrics metrics;
  const auto lines =
      break_lines(metrics, "https://example.org/lessons/of/the/year/pattern.html", TextStyle::italic, 2, 22);
  ASSERT_GE(lines.size(), 2U);
  std::string whole;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    EXPECT_LE(metrics.width(lines[i], TextStyle::italic, 2), 22);
    EXPECT_TRUE(i + 1 == lines.size() || lines[i].ends_with('/') || lines[i].ends_with('.')) << lines[i];
    whole += lines[i];
  }
  EXPECT_EQ(whole, "https://example.org/lessons/of/the/year/pattern.html");
}

}  // namespace
}  // namespace fretloom::sheet
