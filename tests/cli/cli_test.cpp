// The command as a user runs it. Each file of tests/cli/cases is one case:
//
//   --- lesson            the text of lesson.toml
//   --- run ARGUMENTS     the command's words, in a folder that holds lesson.toml
//   --- out, --- err      what it prints
//   --- exit N
//
// FRETLOOM_REWRITE=1 cli_test rewrites what the cases expect; read the change before you keep it.

#include <gtest/gtest.h>
#include <sys/wait.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <sstream>

namespace {

namespace fs = std::filesystem;

std::string slurp(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::stringstream text;
  text << file.rdbuf();
  return text.str();
}

void spit(const fs::path& path, const std::string& text) { std::ofstream(path, std::ios::binary) << text; }

/// A fresh folder that goes when the test ends.
class Folder {
 public:
  Folder() {
    std::string name = (fs::temp_directory_path() / "fretloom-cli-XXXXXX").string();
    path_ = mkdtemp(name.data());
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  ~Folder() { fs::remove_all(path_); }
  [[nodiscard]] const fs::path& path() const { return path_; }

 private:
  fs::path path_;
};

struct Outcome {
  std::string out;
  std::string err;
  int code = -1;
};

Outcome run(const Folder& folder, const std::string& arguments) {
  const std::string command =
      "cd '" + folder.path().string() + "' && '" FRETLOOM_COMMAND "' " + arguments + " >stdout.txt 2>stderr.txt";
  const int status = std::system(command.c_str());
  return {slurp(folder.path() / "stdout.txt"), slurp(folder.path() / "stderr.txt"),
          WIFEXITED(status) ? WEXITSTATUS(status) : -1};
}

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
    const Case found = read_case(slurp(entry.path()));
    const Folder folder;
    if (!found.lesson.empty()) spit(folder.path() / "lesson.toml", found.lesson);
    const Outcome outcome = run(folder, found.arguments);
    ++count;
    if (rewrite) {
      spit(entry.path(), write_case(found, outcome));
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
  spit(folder.path() / "lesson.toml", text);
  const Outcome outcome = run(folder, "check lesson.toml");
  EXPECT_EQ(outcome.code, 2);
  EXPECT_NE(outcome.err.find(part), std::string::npos) << outcome.err;
  EXPECT_EQ(outcome.out, "");
  const Outcome json = run(folder, "notes --json lesson.toml");
  EXPECT_EQ(json.code, 2);
  EXPECT_EQ(json.out.rfind("{\n  \"findings\": [", 0), 0U) << json.out;
}

TEST(Cli, RefusesWhatIsNoLesson) {
  expect_unreadable(std::string(2U << 20U, '#'),
                    "lesson.toml:1:1: error: the file is too large; a lesson has at most 1048576 bytes");
  std::string binary = "title = \"x\"\n";
  for (int i = 0; i < 256; ++i) binary += static_cast<char>(i * 37);
  expect_unreadable(binary, "lesson.toml:2:1: error: the file holds binary data");
  expect_unreadable("title = \"caf\xE9\"\n", "lesson.toml:1:13: error: the file is not UTF-8 text");
  expect_unreadable("a = " + std::string(10000, '[') + std::string(10000, ']'), "nests more than 64 levels");
  expect_unreadable("title = \"cut off\nkey = \"E dor", "lesson.toml:1:");
  expect_unreadable("t\xC3\xAFtle = 1\n", "lesson.toml:1:2: error: this is no TOML document");
}

TEST(Cli, WritesNothingForALessonInError) {
  const Folder folder;
  spit(folder.path() / "lesson.toml", "title = \"T\"\nkey = \"H dorian\"\n");
  EXPECT_EQ(run(folder, "export lesson.toml -o new.txt").code, 1);
  EXPECT_FALSE(fs::exists(folder.path() / "new.txt"));
  spit(folder.path() / "old.txt", "as it was");
  EXPECT_EQ(run(folder, "export lesson.toml -o old.txt").code, 1);
  EXPECT_EQ(slurp(folder.path() / "old.txt"), "as it was");
}

TEST(Cli, SplitsAFolderIntoShares) {
  const Folder folder;
  for (const char* name : {"a", "b", "c", "d", "e"})
    spit(folder.path() / (std::string(name) + ".toml"),
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

TEST(Cli, KeepsItsTableInside80Columns) {
  const Folder folder;
  const Outcome outcome = run(folder, "notes '" FRETLOOM_SOURCE_DIR "/demos'");
  EXPECT_EQ(outcome.code, 0);
  std::istringstream lines(outcome.out);
  int count = 0;
  for (std::string line; std::getline(lines, line); ++count) EXPECT_LE(line.size(), 80U) << line;
  EXPECT_GT(count, 300);
}

}  // namespace
