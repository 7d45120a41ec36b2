// Whether every word and sign can be read on what it stands on: WCAG 2.2, success criteria 1.4.3 (text, 4.5 to 1) and
// 1.4.11 (graphics that are needed to understand, 3 to 1), with the contrast ratio as that document defines it.

#include "sheet/tone.h"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>
#include <fstream>
#include <functional>
#include <string>
#include <vector>

#include "outside.h"

namespace fretloom::sheet {
namespace {

/// WCAG 2.2, "relative luminance", of "#RRGGBB".
double luminance(std::string_view colour) {
  const auto channel = [&](std::size_t at) {
    const double c = std::stoi(std::string(colour.substr(at, 2)), nullptr, 16) / 255.0;
    return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
  };
  return 0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5);
}

/// WCAG 2.2, "contrast ratio".
double contrast(std::string_view a, std::string_view b) {
  const double x = luminance(a);
  const double y = luminance(b);
  return (std::max(x, y) + 0.05) / (std::min(x, y) + 0.05);
}

std::string grey_colour(double grey) {
  char text[8];
  const int level = static_cast<int>(std::lround(grey * 255));
  std::snprintf(text, sizeof text, "#%02X%02X%02X", level, level, level);
  return text;
}

const std::vector<Tone> k_grounds{Tone::paper, Tone::rule_band, Tone::again_band, Tone::back_band, Tone::ending_band};

struct Pair {
  Tone on_top;
  std::vector<Tone> grounds;
};
// Words, and the grounds that they are set on.
const std::vector<Pair> k_texts{{Tone::ink, k_grounds},
                                {Tone::soft_ink, {Tone::paper}},
                                {Tone::upstroke, {Tone::paper}},
                                {Tone::paper, {Tone::downstroke, Tone::ink, Tone::soft_ink}},
                                {Tone::good_text, {Tone::paper, Tone::ending_band}},
                                {Tone::blocked, k_grounds}};
const std::vector<Pair> k_signs{{Tone::string, {Tone::paper}}, {Tone::downstroke, k_grounds},
                                {Tone::upstroke, k_grounds},   {Tone::good, k_grounds},
                                {Tone::blocked, k_grounds},    {Tone::ink, k_grounds}};

void expect_contrast(const std::vector<Pair>& pairs, double least) {
  for (const Pair& pair : pairs) {
    const ToneRow& top = row_of(pair.on_top);
    for (const Tone ground : pair.grounds) {
      const ToneRow& below = row_of(ground);
      EXPECT_GE(contrast(top.light, below.light), least) << top.name << " on " << below.name << ", light";
      EXPECT_GE(contrast(top.dark, below.dark), least) << top.name << " on " << below.name << ", dark";
      EXPECT_GE(contrast(grey_colour(top.grey), grey_colour(below.grey)), least)
          << top.name << " on " << below.name << ", paper";
    }
  }
}

// The document's own end points: black on white 21, a colour on itself 1.
TEST(Tone, ContrastIsMeasuredAsWcagDefinesIt) {
  EXPECT_NEAR(contrast("#000000", "#FFFFFF"), 21, 1e-9);
  EXPECT_NEAR(contrast("#777777", "#777777"), 1, 1e-9);
  EXPECT_NEAR(contrast("#777777", "#FFFFFF"), 4.48, 0.005);  // the well-known grey that just fails
}

TEST(Tone, EveryTextCanBeRead) { expect_contrast(k_texts, 4.5); }
TEST(Tone, EverySignCanBeSeen) { expect_contrast(k_signs, 3); }

TEST(Tone, RowsStandAtTheirTones) {
  for (std::size_t i = 0; i < k_tones.size(); ++i) {
    EXPECT_EQ(static_cast<std::size_t>(k_tones[i].tone), i);
    EXPECT_TRUE(k_tones[i].grey >= 0 && k_tones[i].grey <= 1);
    EXPECT_EQ(k_tones[i].light.size() + k_tones[i].dark.size(), 14U);
  }
}

std::string properties(const std::string& selector, const std::function<std::string(const ToneRow&)>& colour) {
  std::string out = selector + " {\n";
  for (const ToneRow& row : k_tones) out += "  --tone-" + std::string(row.name) + ": " + colour(row) + ";\n";
  return out + "}\n";
}

/// The rows as a style sheet: of a light screen, of a dark one (as the device says, or as the page does), on paper.
std::string style_sheet() {
  const auto light = [](const ToneRow& row) { return std::string(row.light); };
  const auto dark = [](const ToneRow& row) { return std::string(row.dark); };
  std::string out = properties(":root", light);
  out += "@media (prefers-color-scheme: dark) {\n" + properties(":root:not([data-theme=\"light\"])", dark) + "}\n";
  out += properties(":root[data-theme=\"dark\"]", dark);
  out +=
      "@media print {\n" + properties(":root:root", [](const ToneRow& row) { return grey_colour(row.grey); }) + "}\n";
  for (const ToneRow& row : k_tones)
    out += ".tone-" + std::string(row.name) + " {\n  color: var(--tone-" + std::string(row.name) + ");\n}\n";
  return out;
}

TEST(Tone, TheStyleSheetOfThePagesHasTheseRows) {
  const std::string path = FRETLOOM_SOURCE_DIR "/web/shared/drawing.css";
  const std::string text = test::bytes_of(path);
  const std::string begin = "/* tones */\n";
  const std::size_t from = text.find(begin) + begin.size();
  const std::size_t to = text.find("/* end of tones */");
  ASSERT_LE(from, to);
  const std::string wanted = style_sheet();
  if (std::getenv("FRETLOOM_REWRITE") != nullptr)
    std::ofstream(path, std::ios::binary) << text.substr(0, from) + wanted + text.substr(to);
  EXPECT_EQ(text.substr(from, to - from), wanted) << "FRETLOOM_REWRITE=1 writes it anew";
}

}  // namespace
}  // namespace fretloom::sheet
