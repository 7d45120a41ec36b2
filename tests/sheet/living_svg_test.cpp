// The drawing of few elements that a page redraws.

#include "sheet/living_svg.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>

#include "outside.h"
#include "sheet/build.h"
#include "sheet/options.h"
#include "sheet/path_pen.h"

namespace fretloom::sheet {
namespace {

// A staff space is ten pixels, so that the tests can count.
constexpr Millimetres k_ten_pixels{k_pixel.value * 10};

std::size_t count(const std::string& text, const std::string& part) {
  std::size_t n = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++n;
  return n;
}

std::string drawn(const std::vector<SceneItem>& items, double height = 10) {
  ScenePage page{20, height, items};
  const auto rows = write_living_rows(page, {}, k_ten_pixels, test::music_font());
  EXPECT_EQ(rows.size(), 1U);
  return rows.front();
}

SceneItem box(double x, double y, Tone tone) {
  return {Mark::band, {}, -1, BoxShape{{x, y, x + 1, y + 1}, 0, 0}, tone};
}
SceneItem text(double x, double y, const std::string& words, Tone tone = Tone::ink) {
  const double width = static_cast<double>(words.size());
  return {Mark::fret, {}, -1, TextShape{{x, y}, words, TextStyle::regular, 1.3, Anchor::start, width}, tone};
}

TEST(LivingSvg, PutsWhatLooksAlikeIntoOneElement) {
  EXPECT_EQ(count(drawn({box(0, 0, Tone::ink), box(2, 0, Tone::line), box(4, 0, Tone::ink)}), "<path"), 2U);
  EXPECT_EQ(count(drawn({text(0, 2, "12"), text(4, 2, "7"), text(8, 2, "E")}), "<text"), 1U);
  EXPECT_EQ(count(drawn({text(0, 2, "again"), text(9, 2, "again")}), "<text"), 2U);
}

TEST(LivingSvg, KeepsTheOrderOfPaintingWhereTonesOverlap) {
  // Ink, paper over it, ink over that: the last must not be painted with the first.
  const std::string svg = drawn({box(0, 0, Tone::ink), box(0.5, 0, Tone::paper), box(0.7, 0, Tone::ink)});
  EXPECT_EQ(count(svg, "<path"), 3U);
  EXPECT_LT(svg.find("tone-ink"), svg.find("tone-paper"));
  EXPECT_LT(svg.find("tone-paper"), svg.rfind("tone-ink"));
  // What touches nothing between may go to the first.
  EXPECT_EQ(count(drawn({box(0, 0, Tone::ink), box(0.5, 0, Tone::paper), box(9, 0, Tone::ink)}), "<path"), 2U);
}

TEST(LivingSvg, WritesShapesInPixels) {
  EXPECT_NE(drawn({box(1, 2, Tone::ink)}).find("d=\"m10 20h10v10h-10z\""), std::string::npos)
      << drawn({box(1, 2, Tone::ink)});
  const std::string digits = drawn({text(1, 2, "12")});
  EXPECT_NE(digits.find("font-size=\"13\" x=\"10 20\" y=\"20 20\">12</text>"), std::string::npos) << digits;
  const std::string words = drawn({text(1, 2, "a<b")});
  EXPECT_NE(words.find("textLength=\"30\" lengthAdjust=\"spacingAndGlyphs\">a&lt;b</text>"), std::string::npos)
      << words;
}

// Of two contours that turn against each other a path leaves out what both cover.
TEST(LivingSvg, KeepsApartWhatTurnsTheOtherWay) {
  const auto paths_with = [](Symbol symbol) {
    return count(drawn({{Mark::staff_line, {}, -1, LineShape{{0, 2}, {9, 2}, 0.2}, Tone::ink},
                        {Mark::time_signature, {}, -1, GlyphShape{{2, 2}, symbol, 1}, Tone::ink}}),
                 "<path");
  };
  EXPECT_EQ(paths_with(Symbol::head_black), 2U) << "the font's noteheads turn against our lines";
  EXPECT_EQ(paths_with(Symbol::time_4), 1U) << "its 4 does not";
}

TEST(LivingSvg, ARowSaysNothingOfWhereItStands) {
  ScenePage page{20, 22, {}};
  std::vector<Box> rows;
  for (int i = 0; i < 4; ++i) {
    const double top = 6 * i;
    rows.push_back({0, top, 20, top + 4});
    page.items.push_back(box(1, top + 1, Tone::ink));
    page.items.push_back(text(5, top + 2, i == 3 ? "8" : "9"));
  }
  const auto drawn_rows = write_living_rows(page, rows, k_ten_pixels, test::music_font());
  ASSERT_EQ(drawn_rows.size(), 4U);
  EXPECT_EQ(drawn_rows[1], drawn_rows[2]);
  EXPECT_NE(drawn_rows[0], drawn_rows[1]) << "the first has no half gap above it";
  EXPECT_NE(drawn_rows[3], drawn_rows[1]);
  std::size_t height = 0;
  for (const std::string& row : drawn_rows) height += std::stoul(row.substr(row.find(" height=\"") + 9));
  EXPECT_EQ(height, 220U) << "together they are the page";
}

TEST(LivingSvg, TheDemoLosesNoDigitAndNeedsFewElements) {
  const Scene& scene = test::demo_scene();
  for (std::size_t p = 0; p < scene.pages.size(); ++p) {
    const std::string svg = write_living_rows(scene.pages[p], {}, scene.staff_space, test::music_font()).front();
    EXPECT_EQ(svg.find(" style="), std::string::npos);
    EXPECT_EQ(svg.find(" id="), std::string::npos);
    EXPECT_EQ(svg.find("href"), std::string::npos);
    std::size_t digits = 0;
    std::size_t shapes = 0;
    for (const SceneItem& item : scene.pages[p].items) {
      const auto* words = std::get_if<TextShape>(&item.shape);
      shapes += words == nullptr ? 1 : 0;
      if (words != nullptr)
        digits += static_cast<std::size_t>(
            std::count_if(words->text.begin(), words->text.end(), [](char c) { return c >= '0' && c <= '9'; }));
    }
    std::size_t written = 0;
    for (std::size_t at = svg.find("<text"); at != std::string::npos; at = svg.find("<text", at + 1)) {
      const std::size_t from = svg.find('>', at) + 1;
      const std::size_t to = svg.find('<', from);
      written += static_cast<std::size_t>(std::count_if(svg.begin() + static_cast<std::ptrdiff_t>(from),
                                                        svg.begin() + static_cast<std::ptrdiff_t>(to),
                                                        [](char c) { return c >= '0' && c <= '9'; }));
    }
    EXPECT_EQ(written, digits);
    EXPECT_LT(count(svg, "<path") * 5, shapes);
    if (!fretloom::test::have_tool("xmllint")) continue;
    int code = 0;
    const std::string said = test::run("xmllint --noout " + test::saved("living.svg", svg), code);
    EXPECT_EQ(code, 0) << said;
  }
}

TEST(PathPen, WritesHundredths) {
  const auto written = [](std::int64_t value) {
    std::string out;
    append_hundredths(out, value);
    return out;
  };
  EXPECT_EQ(written(0), "0");
  EXPECT_EQ(written(125), "1.25");
  EXPECT_EQ(written(-50), "-.5");
  EXPECT_EQ(written(7), ".07");
  EXPECT_EQ(written(-1200), "-12");
}

TEST(PathPen, GoesOnFromWhereItStands) {
  PathPen pen;
  pen.move({100, 100});
  pen.line({200, 100});
  pen.line({200, 50});
  pen.close();
  pen.move({150, 100});
  pen.curve({150, 200}, {250, 200}, {250, 100});
  EXPECT_EQ(pen.data(), "m1 1h1v-.5zm.5 0c0 1 1 1 1 0");
}

}  // namespace
}  // namespace fretloom::sheet
