#include "base/text.h"

#include <gtest/gtest.h>

#include <array>

namespace fretloom {
namespace {

TEST(Text, SplitsWordsWithTheirPlaces) {
  const auto found = words(" 1  3\t+ ");
  ASSERT_EQ(found.size(), 3U);
  EXPECT_EQ(found[1].text, "3");
  EXPECT_EQ(found[1].at, 4U);
}

TEST(Text, ReadsAccidentalSigns) { EXPECT_EQ(plain_accidentals("B\u266D F\u266F"), "Bb F#"); }

TEST(Text, KnowsWellFormedUtf8) {
  EXPECT_EQ(utf8_prefix("gr\u00FC\u00DF \U0001F3B8"), 11U);
  EXPECT_EQ(utf8_prefix("a\xC0\xAF"), 1U);       // overlong (Unicode 15, table 3-7)
  EXPECT_EQ(utf8_prefix("ab\xED\xA0\x80"), 2U);  // surrogate
  EXPECT_EQ(utf8_prefix("\xFF"), 0U);
}

TEST(Text, SaysSizesExactly) {
  EXPECT_EQ(byte_text(0), "0 bytes");
  EXPECT_EQ(byte_text(1), "1 byte");
  EXPECT_EQ(byte_text(1000), "1000 bytes");
  EXPECT_EQ(byte_text(64U << 10U), "64 kB");
  EXPECT_EQ(byte_text(8U << 20U), "8 MB");
  EXPECT_EQ(byte_text((1U << 20U) + 1), "1048577 bytes");
  EXPECT_EQ(byte_text(std::uintmax_t{2} << 30U), "2 GB");
}

TEST(Text, NamesStandOnOneLine) {
  EXPECT_EQ(one_line(" a\r\n\tb\x1B[31m\u009Bc\u2028d\uFEFF "), "a b [31m c d");
  EXPECT_EQ(one_line("a\u202Eb\u2066c\u200F"), "abc");
  EXPECT_EQ(one_line("x\xFFy\xEF\xBF\xBEz"), "x\uFFFDy\uFFFDz");
  EXPECT_EQ(plain_prose("one  two\n\x07three\r\n"), "one two\nthree\n");
  EXPECT_TRUE(has_right_to_left("a \u05E9"));
  EXPECT_FALSE(has_right_to_left("gr\u00FC\u00DF"));
}

// XML 1.0 (fifth edition), section 2.2: Char; section 4.6: predefined entities.
TEST(Text, MarkupHoldsOnlyCharactersOfXml) {
  EXPECT_EQ(xml_text("a\tb\nc\r <\x01\x1F>"), "a\tb\nc\r <\uFFFD\uFFFD>");
  EXPECT_EQ(xml_text("x\xEF\xBF\xBEy\xEF\xBF\xBFz"), "x\uFFFDy\uFFFDz");
  EXPECT_EQ(xml_text("gr\u00FC\u00DF\xFF\xC0\xAF \U0001F3B8"), "gr\u00FC\u00DF\uFFFD\uFFFD\uFFFD \U0001F3B8");
  EXPECT_EQ(markup_text("<a b=\"c\">'&'\xFF"), "&lt;a b=&quot;c&quot;&gt;'&amp;'\uFFFD");
  EXPECT_EQ(markup_text(""), "");
}

TEST(Text, CountsAPairOfSwappedLettersAsOneEdit) {
  EXPECT_EQ(edit_distance("doiran", "dorian"), 1U);
  EXPECT_EQ(edit_distance("", "abc"), 3U);
  constexpr std::array<std::string_view, 2> names = {"dorian", "phrygian"};
  EXPECT_EQ(nearest("DOIRAN", names), "dorian");
  EXPECT_EQ(nearest("x", names), "");
  EXPECT_EQ(nearest("phry", names), "phrygian");  // cut short
  EXPECT_EQ(nearest("dorian natural", names), "dorian");
}

TEST(Text, WrapsAtTheWidth) {
  const auto lines = wrap("keep the wrist quiet", 10);
  EXPECT_EQ(lines, (std::vector<std::string>{"keep the", "wrist", "quiet"}));
}

TEST(Text, WritesNumbersShort) {
  EXPECT_EQ(number_text(60), "60");
  EXPECT_EQ(number_text(92.5), "92.5");
}

}  // namespace
}  // namespace fretloom
