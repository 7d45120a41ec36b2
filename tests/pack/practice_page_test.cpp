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
#include "sound/audio_file.h"

namespace fretloom {
namespace {

/// What the page's script reads: the JSON between an element's tags.
nlohmann::json json_at(const std::string& page, const std::string& id) {
  const std::string open = "<script type=\"application/json\" id=\"" + id + "\">";
  const std::size_t from = page.find(open) + open.size();
  const std::size_t to = page.find("</script>", from);
  return nlohmann::json::parse(page.substr(from, to - from));
}
std::string embedded(const std::string& page) { return json_at(page, "lesson").get<std::string>(); }

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

/// RFC 4648, read the long way round.
std::string from_base64(const std::string& text) {
  const std::string digits = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string bytes;
  unsigned bits = 0;
  int count = 0;
  for (const char c : text) {
    if (c == '=') break;
    bits = bits << 6U | static_cast<unsigned>(digits.find(c));
    count += 6;
    if (count < 8) continue;
    count -= 8;
    bytes += static_cast<char>(bits >> static_cast<unsigned>(count) & 0xFFU);
  }
  return bytes;
}

TEST(PracticePage, AKitIsReadBackAsItWas) {
  for (const std::string bytes : {"", "O", "Og", "Ogg", "Oggs\xff\x01"}) {
    const auto json = nlohmann::json::parse(kit_json({bytes, "{\"rate\":48000,\"sounds\":[]}\n"}));
    EXPECT_EQ(from_base64(json.at("audio").get<std::string>()), bytes);
    EXPECT_EQ(json.at("rate"), 48000);
  }
}

/// Drums and keys of each demo's band lie in its page, which stays small.
TEST(PracticePage, HoldsTheLessonsKit) {
  PackTools tools = test::tools();
  tools.practice = practice_files();
  tools.samples = std::make_shared<BandSamples>();
  if (!tools.samples->check()) GTEST_SKIP() << "package fluid-soundfont-gm is not installed";
  PackChoice choice;
  choice.groups = {PartGroup::practice};
  choice.plan.present_bpm = Rational(0);
  for (const auto& file : std::filesystem::directory_iterator(FRETLOOM_SOURCE_DIR "/demos")) {
    if (file.path().extension() != ".toml") continue;
    const std::string text = test::bytes_of(file.path());
    const auto page = [&] {
      const auto plan = plan_parts(compile_lesson(text), {text, "", "", "demo", "../demo.toml"}, choice, tools).value();
      const auto part = std::find_if(plan.parts.begin(), plan.parts.end(),
                                     [](const PackPart& one) { return one.path == "demo/demo-practice.html"; });
      return part->make(nullptr).value();
    };
    const std::string made = page();
    EXPECT_LE(made.size(), 900'000U) << file.path();
    const auto kit = json_at(made, "kit");
    const std::string audio = from_base64(kit.at("audio").get<std::string>());
    RecordProperty(file.path().stem().string(), static_cast<int>(audio.size()));
    EXPECT_LE(audio.size(), 100'000U) << file.path();
    const std::int64_t frames = decode_audio(audio).value().frames();
    EXPECT_GE(kit.at("sounds").size(), 5U) << file.path();
    for (const auto& sound : kit.at("sounds"))
      EXPECT_LE(sound.at("first").get<std::int64_t>() + sound.at("frames").get<std::int64_t>(), frames);
    EXPECT_EQ(embedded(made), without_comments(text));
    tools.samples = std::make_shared<BandSamples>();
    EXPECT_TRUE(page() == made) << file.path();
  }
  tools.samples.reset();
  const std::string lesson = test::lesson_text();
  const auto bare = plan_parts(compile_lesson(lesson), {lesson, "", "", "two", "../two.toml"}, choice, tools).value();
  for (const PackPart& part : bare.parts) {
    if (part.path != "two/two-practice.html") continue;
    EXPECT_TRUE(json_at(part.make(nullptr).value(), "kit").is_null());
  }
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
