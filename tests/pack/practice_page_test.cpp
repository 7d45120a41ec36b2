// The student's page of a pack: what of the lesson goes into it, and that nothing in a lesson gets out of its place.

#include "pack/practice_page.h"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "lesson/compile.h"
#include "lesson/notes_json.h"
#include "outside.h"
#include "pack/hash.h"
#include "pack/practice_file.h"
#include "pack/two_ideas.h"
#include "pack/verify.h"

namespace fretloom {
namespace {

/// What the page's script reads: the JSON between the element's tags.
std::string embedded(const std::string& page) {
  const std::string open = "<script type=\"application/json\" id=\"lesson\">";
  const std::size_t from = page.find(open) + open.size();
  const std::size_t to = page.find("</script>", from);
  return nlohmann::json::parse(page.substr(from, to - from)).get<std::string>();
}

std::string the_page() { return std::string(practice_files().front().bytes); }

TEST(PracticePage, LeavesTheTeachersCommentsOut) {
  EXPECT_EQ(without_comments("a = 1  # mine\n# all mine\nb = \"#4\" # x\n"), "a = 1\n\nb = \"#4\"\n");
  EXPECT_EQ(without_comments("a = 'C#' # x"), "a = 'C#'");
  EXPECT_EQ(without_comments("a = \"q\\\" # in\" # out"), "a = \"q\\\" # in\"");
  EXPECT_EQ(without_comments("a = \"\"\"one # in\n\"two\" # in\"\"\"\"\" # out\nb = 2"),
            "a = \"\"\"one # in\n\"two\" # in\"\"\"\"\"\nb = 2");
  EXPECT_EQ(without_comments("a = '''# in\n''' # out"), "a = '''# in\n'''");
  EXPECT_EQ(without_comments("a = \"never closed # x"), "a = \"never closed # x");
}

TEST(PracticePage, TheLessonSaysTheSameWithoutThem) {
  for (const auto& file : std::filesystem::directory_iterator(FRETLOOM_SOURCE_DIR "/demos")) {
    const std::string text = test::bytes_of(file.path());
    const auto notes = [](const std::string& lesson) {
      auto json = nlohmann::json::parse(notes_json(compile_lesson(lesson)));
      json.erase("findings");  // their columns stand elsewhere
      return json;
    };
    EXPECT_EQ(notes(text), notes(without_comments(text))) << file.path();
  }
}

TEST(PracticePage, HoldsTheLessonAndNothingOfItEndsThePlace) {
  const std::string lesson =
      "title = \"</script><script>alert(1)</script><!-- \\u2028 &amp; 'x'\"\nauthor = \"\x7f\t\u00fc\"\n";
  const std::string page = with_lesson(the_page(), {lesson, "", "two", "stamp-7"});
  EXPECT_EQ(embedded(page), lesson);
  EXPECT_NE(page.find("<meta name=\"lesson\" content=\"stamp-7\">"), std::string::npos);
  EXPECT_EQ(page.find("alert(1)</script>"), std::string::npos);
  EXPECT_NE(page.find("<meta name=\"beside\" content=\"two-practice\">"), std::string::npos);
  EXPECT_EQ(page.find("@LESSON@"), std::string::npos);
  EXPECT_EQ(page.find("@STAMP@"), std::string::npos);
  EXPECT_EQ(page.find("@NAME@"), std::string::npos);
}

TEST(PracticePage, TheManifestBesideItIsOfItsLesson) {
  const std::string title = "A \"title\" </script>, @NAME@ and \"@LESSON@\"\n";
  const std::string text = with_lesson(practice_files()[1].bytes, {"title = \"x\"\n", title, "two", "stamp-7"});
  const auto manifest = nlohmann::json::parse(text);
  EXPECT_EQ(manifest.at("name"), title);
  EXPECT_EQ(manifest.at("lesson"), "stamp-7");
  for (const char* key : {"start_url", "scope"}) EXPECT_EQ(manifest.at(key), "two-practice.html") << key;
  EXPECT_EQ(nlohmann::json::parse(with_lesson(practice_files()[1].bytes, {})).at("name"), "Practice");
}

TEST(PracticePage, IsAPartOfThePackAndLinkedFromItsPages) {
  const test::Folder folder;
  const std::string lesson = "# for nobody else\n" + test::lesson_text();
  PackTools tools = test::tools();
  tools.practice = practice_files();
  PackChoice choice;
  choice.groups = {PartGroup::practice, PartGroup::words};
  choice.plan.present_bpm = Rational(0);
  const auto plan = plan_parts(compile_lesson(lesson), {lesson, "", "", "two", "../two.toml"}, choice, tools);
  ASSERT_TRUE(plan.ok()) << plan.error().what;
  test::make_with_index(*plan, folder);
  const auto files = test::tree(test::packs(folder));
  const std::string& made = files.at("two/two-practice.html");
  EXPECT_EQ(embedded(made), "\n" + test::lesson_text());
  EXPECT_EQ(made.find("for nobody else"), std::string::npos);
  EXPECT_EQ(made.find("@STAMP@"), std::string::npos);
  const auto manifest = nlohmann::json::parse(files.at("two/two-practice.webmanifest"));
  EXPECT_EQ(manifest.at("name"), "Two ideas");
  const std::string& worker = files.at("two/two-practice-worker.js");
  EXPECT_NE(worker.find("two-practice.webmanifest"), std::string::npos);
  for (const std::string* beside : {&made, &worker, &files.at("two/two-practice.webmanifest")})
    EXPECT_NE(beside->find(full_stamp(sha256(lesson))), std::string::npos);
  EXPECT_NE(files.at("two/start.html").find("<a href=\"two-practice.html\">Practise</a>"), std::string::npos);
  EXPECT_NE(files.at("index.html").find("<a href=\"two/two-practice.html\">Practise</a>"), std::string::npos);
  for (const char* page : {"two/start.html", "index.html"}) {
    EXPECT_EQ(files.at(page).find("worker.js"), std::string::npos);
    EXPECT_EQ(files.at(page).find("webmanifest"), std::string::npos);
  }
  EXPECT_NE(files.at("two-teacher/two-email.txt").find("- a page to practise with"), std::string::npos);
  const auto verified = verify_pack(read_pack((test::packs(folder) / "two").string()).value(), tools);
  ASSERT_TRUE(verified.ok()) << verified.error().what;
  EXPECT_TRUE(verified->problems.empty()) << verified->problems.front();
  // Without its page a program has no such part.
  const auto bare = plan_parts(compile_lesson(lesson), {lesson, "", "", "two", "../two.toml"}, choice, test::tools());
  ASSERT_TRUE(bare.ok());
  for (const PackPart& part : bare->parts) EXPECT_NE(part.group, PartGroup::practice);
}

TEST(PracticePage, IsOneSmallFileThatAsksForNothing) {
  const std::string page = the_page();
  EXPECT_LE(page.size(), 900'000U);
  for (const std::string part : {"@POLICY@", "@STYLE@", "@SCRIPT@", "@THREAD@", "@ENGINE@", " src=\"", "@import"})
    EXPECT_EQ(page.find(part), std::string::npos) << part;
  EXPECT_NE(page.find("default-src 'none'"), std::string::npos);
  EXPECT_NE(page.find("connect-src 'none'"), std::string::npos);
  EXPECT_EQ(page.find("unsafe-inline"), std::string::npos);
}

}  // namespace
}  // namespace fretloom
