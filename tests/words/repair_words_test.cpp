#include "words/repair_words.h"

#include <gtest/gtest.h>

namespace fretloom {
namespace {

TEST(RepairWords, SayWhatAPressDoes) {
  EXPECT_EQ(repair_words({0, "tempo.goal"}, "140"), "Make it 140");
  EXPECT_EQ(repair_words({0, "key"}, "\"E dorian\""), "Make it E dorian");
  EXPECT_EQ(repair_words({0, "layout.from"}, "from = 19"), "Make the lowest fret 19");
  EXPECT_EQ(repair_words({0, "layout"}, "from = 19"), "Make the lowest fret 19");
  EXPECT_EQ(repair_words({1, "cell"}, "first_stroke = \"up\", cell = \"1 h2\""),
            "Make the rule 1 h2 and the first stroke up");
  EXPECT_EQ(repair_words({2, "layout"}, "kind = \"position\""), "Make the kind of layout position");
  EXPECT_EQ(repair_words({2, "carry"}, "repeats = 4"), "Make the number of repetitions 4");
  EXPECT_EQ(repair_words({2, "cell"}, "cell = \"1 h2 3\""), "Make the rule 1 h2 3");
}

TEST(RepairWords, LeaveAListAsTheFileHasIt) {
  EXPECT_EQ(repair_words({0, "scale"}, R"(["1", "2"])"), R"(Make it ["1", "2"])");
  EXPECT_EQ(repair_words({0, "layout"}, "{ kind = \"position\" }"), "Make it { kind = \"position\" }");
}

TEST(RepairWords, AreEmptyWithoutARepair) { EXPECT_EQ(repair_words({0, "key"}, ""), ""); }

}  // namespace
}  // namespace fretloom
