// Places of findings: paths of keys, and the line that goes to a terminal.

#include "base/diagnostics.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace fretloom {
namespace {

TEST(KeyPath, SaysWhereAKeyStands) {
  EXPECT_EQ((KeyPath{0, "layout.from"}).text(), "layout.from");
  EXPECT_EQ((KeyPath{2, "cell"}).text(), "idea[2].cell");
  EXPECT_EQ((KeyPath{2, ""}).text(), "idea[2]");
  EXPECT_EQ(KeyPath{}.text(), "");
}

TEST(KeyPath, GoesIntoTablesAndOut) {
  const KeyPath idea{3, ""};
  EXPECT_EQ(idea / "ending" / "kind", (KeyPath{3, "ending.kind"}));
  EXPECT_EQ((idea / "ending" / "kind").parent(), idea / "ending");
  EXPECT_EQ((idea / "ending").parent(), idea);
  EXPECT_EQ((idea / "ending" / "kind").last(), "kind");
  EXPECT_EQ((idea / "cell").last(), "cell");
  EXPECT_EQ(idea / "", idea);
  EXPECT_EQ((KeyPath{0, "title"}).parent(), KeyPath{});
}

TEST(KeyPath, ReadsWhatIsNoIdeaAsATopLevelKey) {
  EXPECT_EQ(parse_key_path("idea[0].cell"), (KeyPath{0, "idea[0].cell"}));
  EXPECT_EQ(parse_key_path("idea[x]"), (KeyPath{0, "idea[x]"}));
  EXPECT_EQ(parse_key_path("idea[2]cell"), (KeyPath{0, "idea[2]cell"}));
  EXPECT_EQ(parse_key_path("idea"), (KeyPath{0, "idea"}));
  EXPECT_EQ(parse_key_path(""), KeyPath{});
}

RC_GTEST_PROP(KeyPath, IsReadBack, ()) {
  const KeyPath path{*rc::gen::inRange(0, 300), *rc::gen::element("", "cell", "layout.from", "edits[2].fret")};
  RC_ASSERT(parse_key_path(path.text()) == path);
}

TEST(Finding, IsOneLineWithItsPlaceAndRepair) {
  const Finding finding{Level::warning, "code", {1, "cell"}, {3, 8}, "too wide", "1 2"};
  EXPECT_EQ(to_line(finding, "a.toml"), "a.toml:3:8: warning: too wide (repair: 1 2)");
}

}  // namespace
}  // namespace fretloom
