// An idea over the whole neck against lessons written out for every key and position.

#include "lesson/everywhere.h"

#include <gtest/gtest.h>

#include <set>

namespace fretloom {
namespace {

CompiledLesson lesson_in(const std::string& key, int from, const std::string& idea) {
  return compile_lesson("title = \"T\"\nkey = \"" + key + "\"\n[layout]\nfrom = " + std::to_string(from) +
                        "\n[vamp]\nchords = \"E5\"\n[[idea]]\nending = \"none\"\n" + idea);
}

TEST(Everywhere, EqualsALessonForEachKeyAndPosition) {
  for (const std::string idea : {"cell = \"1 3 2 3 + 2 1\"", "cell = \"1 2 3 + 1\"\nback = \"mirrored\"",
                                 "sequence = \"1 2 3 4\"\nrepeats = 9"}) {
    const CompiledLesson home = lesson_in("E dorian", 12, idea);
    ASSERT_EQ(home.ideas.size(), 1U) << idea;
    const std::vector<Placement> placements = everywhere(home.lesson->ideas[0]);
    std::set<std::string> keys;
    int playable = 0;
    int homes = 0;
    for (const Placement& placement : placements) {
      SCOPED_TRACE(idea + " in " + placement.key.name() + " from " + std::to_string(placement.from));
      keys.insert(placement.key.name());
      homes += placement.is_home ? 1 : 0;
      EXPECT_EQ(placement.is_home, placement.key.name() == "E dorian" && placement.from == 12);
      const CompiledLesson there = lesson_in(placement.key.name(), placement.from, idea);
      ASSERT_EQ(there.ideas.size(), placement.playable ? 1U : 0U);
      EXPECT_EQ(placement.playable, !there.has_errors());
      if (!placement.playable) {
        EXPECT_NE(placement.reason, "");
        EXPECT_FALSE(sheet_at(home.lesson->ideas[0], placement));
        continue;
      }
      ++playable;
      EXPECT_EQ(there.ideas[0].phrase.repeats, placement.repeats);
      EXPECT_EQ(there.lesson->ideas[0].settings.ground.layout.strings.size(), 6U);
      EXPECT_EQ(count_blocked(there.ideas[0].proof.changes), placement.blocked);
      const auto sheet = sheet_at(home.lesson->ideas[0], placement);
      const IdeaSheet want = make_handout(there).ideas.at(0);
      ASSERT_TRUE(sheet.has_value());
      EXPECT_EQ(sheet->layout, want.layout);
      EXPECT_EQ(sheet->notes, want.notes);
    }
    // The thickest string's frets 0 to 24 hold seven scale notes an octave: 14, and 15 where E is one.
    EXPECT_EQ(keys.size(), 12U);
    EXPECT_EQ(homes, 1);
    EXPECT_EQ(placements.size(), 12U * 14U + 7U);
    EXPECT_GT(playable, 40);
    EXPECT_LT(playable, static_cast<int>(placements.size()));
  }
}

}  // namespace
}  // namespace fretloom
