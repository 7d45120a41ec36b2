#include "lesson/mended.h"

#include <gtest/gtest.h>

#include "lesson/compile.h"

namespace fretloom {
namespace {

const std::string k_blocked =
    "title = \"T\"\nkey = \"E dorian\"  # mine\nlayout = { from = 12 }\nclear_after = \"downstroke\"\n"
    "[[idea]]\ncell = \"1 2 3\"\nending = \"none\"\n";

Finding first(const std::string& text, const std::string& code) {
  for (const Finding& finding : compile_lesson(text).findings) {
    if (finding.code == code) return finding;
  }
  return {};
}

TEST(Mended, ChangesTheValueAndNothingElse) {
  const auto text = mended(k_blocked, first(k_blocked, "blocked-changes"));
  ASSERT_TRUE(text) << text.error().what;
  EXPECT_NE(text->find("\"E dorian\"  # mine\n"), std::string::npos);
  EXPECT_EQ(first(*text, "blocked-changes"), Finding{});
}

TEST(Mended, MakesEveryAssignmentOfARepair) {
  Finding finding = first(k_blocked, "blocked-changes");
  finding.repair = "clear_after = \"both\", first_stroke = \"up\"";
  const auto text = mended(k_blocked, finding);
  ASSERT_TRUE(text) << text.error().what;
  EXPECT_NE(text->find("clear_after = \"both\""), std::string::npos);
  EXPECT_NE(text->find("first_stroke = \"up\""), std::string::npos);
}

TEST(Mended, RenamesAnUnknownKey) {
  const std::string wrong = "title = \"T\"\nkey = \"E dorian\"\ncappo = 2\n[[idea]]\ncell = \"1 2\"\n";
  const Finding finding = first(wrong, "unknown-key");
  ASSERT_EQ(finding.repair, "capo");
  const auto text = mended(wrong, finding);
  ASSERT_TRUE(text);
  EXPECT_NE(text->find("\ncapo = 2\n"), std::string::npos);
}

TEST(Mended, RefusesWhatDoesNotHelp) {
  Finding finding = first(k_blocked, "blocked-changes");
  finding.repair = "reach = 120";
  EXPECT_FALSE(mended(k_blocked, finding));
  finding.repair = "";
  EXPECT_FALSE(mended(k_blocked, finding));
}

}  // namespace
}  // namespace fretloom
