// Every repair that a finding offers, put into the file, removes that finding.

#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <sstream>

#include "lesson/compile.h"
#include "lesson/edit.h"
#include "outside.h"

namespace fretloom {
namespace {

/// The lesson of a case of the command (tests/cli/cases), empty if it has none.
std::string lesson_of(const std::string& text) {
  std::istringstream lines(text);
  std::string lesson;
  bool inside = false;
  for (std::string line; std::getline(lines, line);) {
    if (line.rfind("--- ", 0) == 0) {
      inside = line == "--- lesson";
    } else if (inside) {
      lesson += line + "\n";
    }
  }
  return lesson;
}

/// A repair is a value for the key of `where`, or "key = value" for a key beside or inside it.
std::vector<std::pair<std::string, std::string>> edits_for(const Finding& finding) {
  const auto equals = finding.repair.find(" = ");
  const bool names_key = equals != std::string::npos && finding.repair.find_first_of("\"[{") > equals;
  if (!names_key) return {{finding.where, finding.repair}};
  const std::string key = finding.repair.substr(0, equals);
  const std::string value = finding.repair.substr(equals + 3);
  const auto dot = finding.where.rfind('.');
  const std::string beside = dot == std::string::npos ? "" : finding.where.substr(0, dot + 1);
  return {{beside + key, value}, {finding.where.empty() ? key : finding.where + "." + key, value}};
}

bool has_finding(const CompiledLesson& compiled, const Finding& finding) {
  return std::any_of(compiled.findings.begin(), compiled.findings.end(), [&](const Finding& other) {
    return other.code == finding.code && other.where == finding.where && other.message == finding.message;
  });
}

/// The lesson with the repair in place of the plain value at the finding's line and column: an item of
/// a list, or a value whose repair uncovers another error, which the in-place edit would refuse.
std::string with_item(const std::string& lesson, const Finding& finding) {
  std::size_t at = 0;
  for (std::uint32_t line = 1; line < finding.place.line; ++line) at = lesson.find('\n', at) + 1;
  at += finding.place.column - 1;
  const bool quoted = lesson[at] == '"';
  const std::size_t end = quoted ? lesson.find('"', at + 1) + 1 : lesson.find_first_of(",] }\n", at);
  return lesson.substr(0, at) + finding.repair + lesson.substr(end);
}

bool is_removed(const std::string& lesson, const Finding& finding) {
  for (const auto& [path, value] : edits_for(finding)) {
    const auto mended = set_value(lesson, path, value);
    if (mended && !has_finding(compile_lesson(*mended), finding)) return true;
  }
  return !has_finding(compile_lesson(with_item(lesson, finding)), finding);
}

TEST(Repairs, RemoveTheirFinding) {
  int repaired = 0;
  for (const auto& entry : std::filesystem::directory_iterator(FRETLOOM_SOURCE_DIR "/tests/cli/cases")) {
    const std::string lesson = lesson_of(test::bytes_of(entry.path()));
    for (const Finding& finding : compile_lesson(lesson).findings) {
      // Misspelt keys and tables are renamed, which is no edit of a value.
      if (finding.repair.empty() || finding.code == "unknown-key" || finding.repair == "[[idea]]") continue;
      SCOPED_TRACE(entry.path().filename().string() + ": " + to_line(finding, finding.where));
      EXPECT_TRUE(is_removed(lesson, finding));
      ++repaired;
    }
  }
  EXPECT_GT(repaired, 25);
}

/// A lesson in E dorian from fret 12 whose idea is on the lines `idea`.
std::string lesson_with(const std::string& head, const std::string& idea = "cell = \"1 2\"\n") {
  return "title = \"T\"\n" + std::string(head.find("key =") == std::string::npos ? "key = \"E dorian\"\n" : "") + head +
         (head.find("layout") == std::string::npos ? "layout = { from = 12 }\n" : "") + "[[idea]]\n" + idea;
}

/// The lesson with the repair in place, by key path or by place, if that leaves no finding of this level.
bool is_legal(const std::string& lesson, const Finding& finding) {
  const auto is_clean = [&](const std::string& text) {
    const auto compiled = compile_lesson(text);
    return compiled.is_readable() && std::none_of(compiled.findings.begin(), compiled.findings.end(),
                                                  [&](const Finding& f) { return f.level == finding.level; });
  };
  for (const auto& [path, value] : edits_for(finding)) {
    const auto mended = set_value(lesson, path, value);
    if (mended && is_clean(*mended)) return true;
  }
  return is_clean(with_item(lesson, finding));
}

struct Wrong {
  std::string lesson;
  std::string repair;
};

void expect_legal(const std::vector<Wrong>& all) {
  for (const Wrong& wrong : all) {
    SCOPED_TRACE(wrong.lesson);
    const auto findings = compile_lesson(wrong.lesson).findings;
    EXPECT_FALSE(findings.empty());
    if (findings.empty()) continue;
    EXPECT_EQ(findings.front().repair, wrong.repair) << findings.front().message;
    EXPECT_TRUE(wrong.repair.empty() || is_legal(wrong.lesson, findings.front())) << findings.front().message;
  }
}

TEST(Repairs, OfAStartStringLetTheWholePhraseBePlayed) {
  expect_legal({{lesson_with("", "cell = \"1 - 2\"\n"), "5"},
                {lesson_with("", "cell = \"1 - - 2 ++ 1\"\nrepeats = 3\n"), "4"},
                {lesson_with("", "cell = \"1 9 20\"\n"), "\"1 8 8\""},
                {lesson_with("", "cell = \"1 ------- 2\"\n"), ""}});
}

TEST(Repairs, OfAnEditThatTurnsASlurRound) {
  // One repetition: the sign itself can change. Two: the other one needs it.
  const std::string slur = "cell = \"1 h2\"\nending = \"none\"\nclear_after = \"both\"\n";
  expect_legal({{lesson_with("", slur + "repeats = 1\nedits = [{ repeat = 1, note = 1, fret = 16 }]\n"), "\"1 p2\""},
                {lesson_with("", slur + "repeats = 2\nedits = [{ repeat = 1, note = 1, fret = 16 }]\n"), "13"},
                {lesson_with("", slur + "repeats = 2\nedits = [{ repeat = 2, note = 2, fret = 10 }]\n"), "13"},
                {lesson_with("", slur + "repeats = 2\nedits = [{ repeat = 2, note = 2, fret = 12 }]\n"), "13"}});
}

}  // namespace
}  // namespace fretloom
