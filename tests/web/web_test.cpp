// The pages: their types, and what they do in a browser (the .mjs files of this folder).

#include <gtest/gtest.h>

#include "outside.h"

namespace fretloom {
namespace {

const std::string k_root = FRETLOOM_SOURCE_DIR;

test::ToolRun run_node_test(const std::string& file) {
  return test::run_tool("cd '" + k_root + "' && FRETLOOM_PROGRAM='" FRETLOOM_COMMAND "' node --test 'tests/web/" +
                        file + "'");
}

TEST(Web, HasSoundTypes) {
  const test::ToolRun run =
      test::run_tool("cd '" + k_root + "' && node scripts/engine_types.mjs && node_modules/.bin/tsc -p web --noEmit");
  EXPECT_EQ(run.code, 0) << run.out;
}

TEST(Web, KeepsLessons) {
  const test::ToolRun run = run_node_test("stores.test.mjs");
  EXPECT_EQ(run.code, 0) << run.out;
}

TEST(Web, PlaysInTime) {
  const test::ToolRun run = run_node_test("shared/player.test.mjs");
  EXPECT_EQ(run.code, 0) << run.out;
}

TEST(Web, GivesStudentsAPage) {
  const test::ToolRun run = run_node_test("student/student.test.mjs");
  EXPECT_EQ(run.code, 0) << run.out;
}

TEST(Web, PlaysTheKitOfAStudentsPage) {
  const test::ToolRun run = run_node_test("student/kit.test.mjs");
  EXPECT_EQ(run.code, 0) << run.out;
}

TEST(Web, HasHandsOnLoomAndNeck) {
  const test::ToolRun run = run_node_test("hand/hand.test.mjs");
  EXPECT_EQ(run.code, 0) << run.out;
}

TEST(Web, IsAStudio) {
  const test::ToolRun run = run_node_test("studio/studio.test.mjs");
  EXPECT_EQ(run.code, 0) << run.out;
}

}  // namespace
}  // namespace fretloom
