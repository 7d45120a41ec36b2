// The command as a user runs it. Each file of tests/cli/cases is one case:
//
//   --- lesson            the text of lesson.toml
//   --- run ARGUMENTS     the command's words, in a folder that holds lesson.toml
//   --- out, --- err      what it prints
//   --- exit N
//
// FRETLOOM_REWRITE=1 cli_test rewrites what the cases expect; read the change before you keep it.

#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "cli/run_command.h"

namespace {

namespace fs = std::filesystem;

using fretloom::test::Folder;
using fretloom::test::Outcome;
using fretloom::test::run;

struct Case {
  std::string lesson;
  std::string arguments;
  Outcome expected;
};

Case read_case(const std::string& text) {
  Case found;
  std::istringstream lines(text);
  std::string section;
  for (std::string line; std::getline(lines, line);) {
    if (line.rfind("--- ", 0) == 0) {
      std::istringstream words(line.substr(4));
      words >> section;
      if (section == "run") std::getline(words >> std::ws, found.arguments);
      if (section == "exit") words >> found.expected.code;
      continue;
    }
    if (section == "lesson") found.lesson += line + "\n";
    if (section == "out") found.expected.out += line + "\n";
    if (section == "err") found.expected.err += line + "\n";
  }
  return found;
}

std::string write_case(const Case& found, const Outcome& outcome) {
  std::string text;
  if (!found.lesson.empty()) text += "--- lesson\n" + found.lesson;
  text += "--- run " + found.arguments + "\n";
  if (!outcome.out.empty()) text += "--- out\n" + outcome.out;
  if (!outcome.err.empty()) text += "--- err\n" + outcome.err;
  return text + "--- exit " + std::to_string(outcome.code) + "\n";
}

TEST(Cli, PrintsWhatTheCasesExpect) {
  const bool rewrite = std::getenv("FRETLOOM_REWRITE") != nullptr;
  int count = 0;
  for (const auto& entry : fs::directory_iterator(FRETLOOM_SOURCE_DIR "/tests/cli/cases")) {
    SCOPED_TRACE(entry.path().filename().string());
    const Case found = read_case(fretloom::test::bytes_of(entry.path()));
    const Folder folder;
    if (!found.lesson.empty()) fretloom::test::put_bytes(folder.path() / "lesson.toml", found.lesson);
    const Outcome outcome = run(folder, found.arguments);
    ++count;
    if (rewrite) {
      fretloom::test::put_bytes(entry.path(), write_case(found, outcome));
      continue;
    }
    EXPECT_EQ(outcome.out, found.expected.out);
    EXPECT_EQ(outcome.err, found.expected.err);
    EXPECT_EQ(outcome.code, found.expected.code);
  }
  EXPECT_GT(count, 30);
}

void expect_unreadable(const std::string& text, const std::string& part) {
  const Folder folder;
  fretloom::test::put_bytes(folder.path() / "lesson.toml", text);
  const Outcome outcome = run(folder, "check lesson.toml");
  EXPECT_EQ(outcome.code, 2);
  EXPECT_NE(outcome.err.find(part), std::string::npos) << outcome.err;
  EXPECT_EQ(outcome.out, "1 lesson cannot be read\n");
  const Outcome json = run(folder, "notes --json lesson.toml");
  EXPECT_EQ(json.code, 2);
  EXPECT_EQ(json.out.rfind("{\n  \"findings\": [", 0), 0U) << json.out;
}

TEST(Cli, RefusesWhatIsNoLesson) {
  expect_unreadable(std::string(2U << 20U, '#'),
                    "lesson.toml:0:0: error: lesson.toml is larger than 1 MB, the most that is read");
  std::string binary = "title = \"x\"\n";
  for (int i = 0; i < 256; ++i) binary += static_cast<char>(i * 37);
  expect_unreadable(binary, "lesson.toml:2:1: error: the file holds binary data");
  expect_unreadable("title = \"caf\xE9\"\n", "lesson.toml:1:13: error: the file is not UTF-8 text");
  expect_unreadable("a = " + std::string(10000, '[') + std::string(10000, ']'), "nests more than 64 levels");
  expect_unreadable("title = \"cut off\nkey = \"E dor", "lesson.toml:1:");
  expect_unreadable("t\xC3\xAFtle = 1\n", "lesson.toml:1:2: error: the file cannot be read as a lesson (TOML)");
}

TEST(Cli, RefusesALogoThatIsTooLarge) {
  const Folder folder;
  fretloom::test::put_bytes(
      folder.path() / "lesson.toml",
      "title = \"T\"\nkey = \"E dorian\"\nlogo = \"big.png\"\n[[idea]]\nname = \"A\"\ncell = \"1 2 3\"\n");
  fretloom::test::put_bytes(folder.path() / "big.png", std::string((8U << 20U) + 1, 'x'));
  const Outcome outcome = run(folder, "pack lesson.toml -o out --only tab");
  EXPECT_EQ(outcome.code, 1);
  EXPECT_NE(outcome.err.find("\nfretloom: lesson.toml: big.png is larger than 8 MB, the most that is read\n"),
            std::string::npos)
      << outcome.err;
  EXPECT_FALSE(fs::exists(folder.path() / "out/lesson.zip"));
}

TEST(Cli, WritesNothingForALessonInError) {
  const Folder folder;
  fretloom::test::put_bytes(folder.path() / "lesson.toml", "title = \"T\"\nkey = \"H dorian\"\n");
  EXPECT_EQ(run(folder, "export lesson.toml -o new.txt").code, 1);
  EXPECT_FALSE(fs::exists(folder.path() / "new.txt"));
  fretloom::test::put_bytes(folder.path() / "old.txt", "as it was");
  EXPECT_EQ(run(folder, "export lesson.toml -o old.txt").code, 1);
  EXPECT_EQ(fretloom::test::bytes_of(folder.path() / "old.txt"), "as it was");
}

constexpr const char* k_sixes =
    "title = \"T\"\nkey = \"E dorian\"\nlayout = { from = 12 }\n[[idea]]\ncell = \"1 3 2 3 + 2 1\"\n";

// A disk that is full after 64 KiB.
TEST(Cli, AFullDiskLeavesNoPartOfASound) {
  const Folder folder;
  fretloom::test::put_bytes(folder / "lesson.toml", k_sixes);
  const auto full =
      fretloom::test::run_tool("cd '" + folder.path().string() +
                               "' && ulimit -f 128 && '" FRETLOOM_COMMAND "' sound lesson.toml -o out --format wav");
  EXPECT_EQ(full.code, 1);
  EXPECT_NE(full.out.find("cannot write out/01-"), std::string::npos) << full.out;
  EXPECT_TRUE(fs::is_empty(folder.path() / "out"));
}

TEST(Cli, CtrlCEndsASoundWithoutPartialFiles) {
  const Folder folder;
  fretloom::test::put_bytes(folder / "lesson.toml", k_sixes);
  const auto stopped = fretloom::test::run_tool(
      "cd '" + folder.path().string() +
      "' && timeout -s INT 0.7 '" FRETLOOM_COMMAND
      "' sound lesson.toml -o out --format wav,flac --times 64 --what demo,ladder,bursts --threads 2; echo code $?");
  EXPECT_NE(stopped.out.find("stopped"), std::string::npos) << stopped.out;
  if (fs::exists(folder.path() / "out")) {
    for (const auto& entry : fs::directory_iterator(folder.path() / "out"))
      EXPECT_TRUE(entry.path().extension() == ".wav" || entry.path().extension() == ".flac") << entry.path();
  }
}

TEST(Cli, SplitsAFolderIntoShares) {
  const Folder folder;
  for (const char* name : {"a", "b", "c", "d", "e"})
    fretloom::test::put_bytes(folder.path() / (std::string(name) + ".toml"),
                              "title = \"T\"\nkey = \"E dorian\"\n[[idea]]\ncell = \"1 2 3 2\"\n");
  EXPECT_EQ(run(folder, "export . -o first --format txt --part 1/2").code, 0);
  EXPECT_EQ(run(folder, "export . -o second --format txt --part 2/2").code, 0);
  std::size_t files = 0;
  for (const char* name : {"first", "second"}) {
    for (const auto& entry : fs::directory_iterator(folder.path() / name)) files += entry.is_regular_file() ? 1U : 0U;
  }
  EXPECT_EQ(files, 5U);
  EXPECT_EQ(run(folder, "check . --part 3/2").code, 2);
}

TEST(Cli, StartsALessonWithoutFindingsAndNeverOverwrites) {
  const Folder folder;
  for (const char* key : {"D mixolydian", "C# minor pentatonic", "Bb harmonic minor"}) {
    fs::remove(folder.path() / "n.toml");
    EXPECT_EQ(run(folder, std::string("new n.toml --key '") + key + "'").code, 0);
    const Outcome check = run(folder, "check n.toml");
    EXPECT_EQ(check.code, 0);
    EXPECT_EQ(check.err, "");
  }
  EXPECT_EQ(run(folder, "new n.toml").code, 1);
}

TEST(Cli, WritesTemplatesToEditAndKeepsThoseThatAreThere) {
  const Folder folder;
  EXPECT_EQ(run(folder, "new --templates templates").code, 0);
  for (const char* name : {"email.txt", "description.txt", "script.txt"})
    EXPECT_NE(fretloom::test::bytes_of(folder.path() / "templates" / name).find("{title}"), std::string::npos) << name;
  fretloom::test::put_bytes(folder.path() / "templates/email.txt", "mine");
  fs::remove(folder.path() / "templates/script.txt");
  const Outcome again = run(folder, "new --templates templates");
  EXPECT_EQ(again.code, 1);
  EXPECT_NE(again.err.find("email.txt exists already and was kept"), std::string::npos);
  EXPECT_EQ(fretloom::test::bytes_of(folder.path() / "templates/email.txt"), "mine");
  EXPECT_TRUE(fs::exists(folder.path() / "templates/script.txt"));
  EXPECT_EQ(run(folder, "new").code, 2);
}

TEST(Cli, KeepsItsTablesInside80Columns) {
  const Folder folder;
  std::string text = run(folder, "notes '" FRETLOOM_SOURCE_DIR "/demos'").out;
  for (const char* list : {"modes", "tunings", "rhythms", "chords"})
    text += run(folder, std::string("list ") + list).out;
  std::istringstream lines(text);
  int count = 0;
  for (std::string line; std::getline(lines, line); ++count) EXPECT_LE(line.size(), 80U) << line;
  EXPECT_GT(count, 400);
}

TEST(Cli, EndsWithOneLineThatSaysWhatWasMade) {
  const Folder folder;
  for (const char* name : {"a", "b"}) fretloom::test::put_bytes(folder / (std::string(name) + ".toml"), k_sixes);
  fretloom::test::put_bytes(folder / "c.toml", "title = \"T\"\nkey = \"H dorian\"\n");
  EXPECT_EQ(run(folder, "export . -o out --format txt").out,
            "wrote 2 files to out; 1 lesson has errors and was left out\n");
  EXPECT_EQ(run(folder, "sheet a.toml -o a.pdf").out, "wrote a.pdf (2 pages)\n");
  EXPECT_TRUE(run(folder, "check .").out.starts_with("2 lessons are fine, 1 has errors; "));
  // Results for machines stand alone.
  EXPECT_EQ(run(folder, "check a.toml --json").out, "{\n  \"findings\": []\n}\n");
}

}  // namespace
