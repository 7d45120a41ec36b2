#include "sheet/music_font.h"

#include <gtest/gtest.h>

namespace fretloom::sheet {
namespace {

TEST(MusicFont, TableFollowsTheEnum) {
  for (std::size_t i = 0; i < symbol_rows().size(); ++i)
    EXPECT_EQ(static_cast<std::size_t>(symbol_rows()[i].symbol), i);
}

}  // namespace
}  // namespace fretloom::sheet
