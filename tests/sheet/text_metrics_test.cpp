#include "sheet/text_metrics.h"

#include <gtest/gtest.h>

namespace fretloom::sheet {
namespace {

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
