// Somebody who has docs/lesson.md and nothing else: its commands, in its order, lead from nothing to a pack.

#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <sstream>

#include "outside.h"

namespace {

namespace fs = std::filesystem;

std::string page() { return fretloom::test::bytes_of(FRETLOOM_SOURCE_DIR "/docs/lesson.md"); }

/// The fenced blocks of a language in a page, in their order.
std::vector<std::string> blocks_of(const std::string& text, const std::string& language) {
  std::vector<std::string> found;
  std::istringstream lines(text);
  bool inside = false;
  for (std::string line; std::getline(lines, line);) {
    if (!inside && line == "```" + language) {
      inside = true;
      found.emplace_back();
    } else if (inside && line == "```") {
      inside = false;
    } else if (inside) {
      found.back() += line + "\n";
    }
  }
  return found;
}

std::vector<std::string> blocks(const std::string& language) { return blocks_of(page(), language); }

/// Runs a line of the page in a folder; its output with standard error behind it.
fretloom::test::ToolRun run_line(const fs::path& folder, const std::string& line) {
  const std::string program = "fretloom ";
  EXPECT_TRUE(line.starts_with(program)) << line;
  return fretloom::test::run_tool("cd '" + folder.string() + "' && '" FRETLOOM_COMMAND "' " +
                                  line.substr(program.size()) + " 2>&1");
}

TEST(Newcomer, GetsFromNothingToAPackByThePageAlone) {
  const fretloom::test::Folder folder;
  const auto lessons = blocks("toml");
  ASSERT_EQ(lessons.size(), 1U);
  fretloom::test::put_bytes(folder / "small.toml", lessons.front());
  int commands = 0;
  for (const std::string& block : blocks("sh")) {
    std::istringstream lines(block);
    for (std::string line; std::getline(lines, line); ++commands) {
      const auto run = run_line(folder.path(), line);
      EXPECT_EQ(run.code, 0) << line << "\n" << run.out;
      EXPECT_EQ(run.out.find("error"), std::string::npos) << line << "\n" << run.out;
    }
  }
  EXPECT_GE(commands, 8);
  for (const char* made :
       {"first.toml", "first.pdf", "first.mid", "first-sound", "packs/first.zip", "packs/index.html"})
    EXPECT_TRUE(fs::exists(folder.path() / made)) << made;
  EXPECT_FALSE(fs::is_empty(folder.path() / "first-sound"));
  // The page's picture is what the page's command draws of the page's lesson. FRETLOOM_REWRITE=1 draws it anew: look at
  // it before you keep it.
  const std::string drawn = fretloom::test::bytes_of(folder.path() / "lesson-page.svg");
  const std::string picture = FRETLOOM_SOURCE_DIR "/docs/lesson-page.svg";
  if (std::getenv("FRETLOOM_REWRITE") != nullptr) fretloom::test::put_bytes(picture, drawn);
  EXPECT_EQ(drawn, fretloom::test::bytes_of(picture));
}

TEST(Newcomer, FindsTheLessonAndTheFindingOfTheReadMeTrue) {
  const fretloom::test::Folder folder;
  const std::string readme = fretloom::test::bytes_of(FRETLOOM_SOURCE_DIR "/README.md");
  const auto lessons = blocks_of(readme, "toml");
  ASSERT_EQ(lessons.size(), 1U);
  fretloom::test::put_bytes(folder / "climbing-sixes.toml", lessons.front());
  EXPECT_TRUE(run_line(folder.path(), "fretloom check climbing-sixes.toml").out.starts_with("1 lesson is fine"));
  fretloom::test::put_bytes(folder / "climbing-sixes.toml", lessons.front() + "clear_after = \"downstroke\"\n");
  const std::string out = run_line(folder.path(), "fretloom check climbing-sixes.toml").out;
  EXPECT_NE(readme.find("    " + out.substr(0, out.find('\n')) + "\n"), std::string::npos) << out;
}

TEST(Newcomer, MeetsTheFindingThatThePageShows) {
  const fretloom::test::Folder folder;
  std::string lesson = blocks("toml").front();
  lesson.insert(lesson.find("tempo"), "clear_after = \"downstroke\"\n");
  fretloom::test::put_bytes(folder / "small.toml", lesson);
  const auto run = run_line(folder.path(), "fretloom check small.toml");
  const std::string finding = run.out.substr(0, run.out.find('\n'));
  EXPECT_TRUE(finding.starts_with("small.toml:20:8: warning: ")) << run.out;
  EXPECT_NE(page().find("    " + finding + "\n"), std::string::npos) << finding;
}

}  // namespace
