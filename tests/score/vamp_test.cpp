// The vamp's reader, and that it reads every vamp of our own.

#include "score/vamp.h"

#include <gtest/gtest.h>

namespace fretloom {
namespace {

TEST(Vamp, AnEmptyBarIsShownWhereItStands) {
  struct Case {
    const char* text;
    std::size_t at;
    const char* repair;
  };
  for (const auto& [text, at, repair] :
       {Case{"Em7 | | A7", 5, "Em7 | % | A7"}, Case{"Em7 || A7", 5, "Em7 | % | A7"}, Case{"| | A7", 1, "| E | A7"},
        Case{"Em7 |   |", 6, "Em7 | % |"}, Case{"Em7 | | | A7", 5, "Em7 | % | % | A7"}, Case{"  ", 0, "E"}}) {
    SCOPED_TRACE(text);
    const auto vamp = parse_vamp(text, *parse_meter("4/4"), "E");
    ASSERT_FALSE(vamp.ok());
    EXPECT_EQ(vamp.error().at, at);
    EXPECT_EQ(vamp.error().repair, repair);
    EXPECT_TRUE(parse_vamp(vamp.error().repair, *parse_meter("4/4"), "E").ok());
  }
}

}  // namespace
}  // namespace fretloom
