// Every repair that a finding offers, put into the file, removes that finding.

#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <sstream>

#include "lesson/mended.h"
#include "lesson/repaired.h"
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

TEST(Repairs, RemoveTheirFinding) {
  int repaired = 0;
  for (const auto& entry : std::filesystem::directory_iterator(FRETLOOM_SOURCE_DIR "/tests/cli/cases")) {
    const std::string lesson = lesson_of(test::bytes_of(entry.path()));
    for (const Finding& finding : compile_lesson(lesson).findings) {
      // A table header is no edit of a value.
      if (finding.repair.empty() || finding.repair == "[[idea]]") continue;
      SCOPED_TRACE(entry.path().filename().string() + ": " + to_line(finding, finding.where.text()));
      const auto again = mended(lesson, finding);
      EXPECT_TRUE(again.ok()) << finding.message;
      ++repaired;
    }
  }
  EXPECT_GT(repaired, 25);
}

/// A lesson in E dorian from fret 12 whose idea is on the lines `idea`.
std::string lesson_with(const std::string& head, const std::string& idea = "cell = \"1 2\"\nending = \"none\"\n") {
  return "title = \"T\"\n" + std::string(head.find("key =") == std::string::npos ? "key = \"E dorian\"\n" : "") + head +
         (head.find("layout") == std::string::npos ? "layout = { from = 12 }\n" : "") + "[[idea]]\n" + idea;
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
    EXPECT_TRUE(wrong.repair.empty() || test::is_legal(wrong.lesson, findings.front())) << findings.front().message;
  }
}

TEST(Repairs, OfAWrongTypeAreLegalThemselves) {
  const std::string cell = "cell = \"1 2\"\n";
  expect_legal({{lesson_with("meter = 4\n"), "\"4/4\""},
                {lesson_with("meter = 6.5\n"), "\"4/4\""},
                {lesson_with("meter = 3\n"), "\"3/4\""},
                {lesson_with("tempo = { slow = \"a\" }\n"), "60"},
                {lesson_with("tempo = { goal = \"140\" }\n"), "140"},
                {lesson_with("scale_length = \"x\"\n"), "648"},
                {lesson_with("frets = true\n"), "24"},
                {lesson_with("clear_after = 1\n"), "\"upstroke\""},
                {lesson_with("key = 5\n"), "\"C ionian\""},
                {lesson_with("links = \"a\"\n"), "[\"a\"]"},
                {lesson_with("links = [3]\n"), "\"3\""},
                {lesson_with("tuning = [40, \"A2\", \"D3\", \"G3\", \"B3\", \"E4\"]\n"), "\"E2\""},
                {lesson_with("vamp = { chords = 7 }\n"), "\"Em7 | A7\""},
                {lesson_with("vamp = { rhythm = 4 }\n"), "\"sixteenths\""},
                {lesson_with("vamp = { swing = 2 }\n"), "\"2:1\""},
                {lesson_with("layout = { kind = 1, from = 12 }\n"), "\"per-string\""},
                {lesson_with("layout = { from = \"7\" }\n"), "7"},
                {lesson_with("", cell + "first_stroke = 1\n"), "\"down\""},
                {lesson_with("", cell + "edits = 3\n"), ""},
                {lesson_with("", cell + "notes_per_beat = \"4\"\n"), "[4]"},
                {lesson_with("", cell + "notes_per_beat = 40\n"), "[12]"},
                {lesson_with("", cell + "notes_per_beat = true\n"), "[4]"},
                {lesson_with("", cell + "repeats = true\n"), "\"fit\""},
                {lesson_with("", cell + "fingers = \"x\"\n"), ""},
                {lesson_with("", cell + "carry = { strings = \"x\" }\n"), "1"},
                {lesson_with("", cell + "start = { string = \"x\" }\n"), "6"},
                {lesson_with("", cell + "start = { beat = \"x\" }\n"), "0"},
                {lesson_with("", cell + "ending = { on = 1 }\n"), "\"strong\""},
                {lesson_with("", "cell = 2\n"), "\"2\""}});
}

TEST(Repairs, OfALayoutPutItOnTheNeck) {
  expect_legal(
      {{lesson_with("layout = { kind = \"position\", notes = 3, from = 12 }\n"), "kind = \"per-string\""},
       {lesson_with("layout = { kind = \"position\", notes = [4, 3], from = 7 }\n"), "kind = \"octaves\""},
       {lesson_with("layout = { kind = \"position\", notes = 12, from = 12 }\n"), ""},
       {lesson_with("layout = { width = 5, from = 12 }\n"), "kind = \"position\""},
       {lesson_with("layout = { from = 40 }\n"), "19"},
       {lesson_with("capo = 4\nlayout = { from = 24 }\n"), "15"},
       {lesson_with("layout = { notes = 40, from = 12 }\n"), "3"},
       {lesson_with("frets = 2\nlayout = { notes = 4, from = 0 }\n", "name = \"none\"\ncell = \"1\"\n"), ""},
       {lesson_with("layout = { kind = \"position\", width = 8, from = 7 }\n"), "width = 7"},
       {lesson_with("reach = 40\nlayout = { from = 12 }\n"), ""},
       {lesson_with("key = \"C# minor pentatonic\"\nreach = 90\nlayout = { notes = 3, from = 7 }\n"), "notes = 2"}});
}

TEST(Repairs, OfAStartStringLetTheWholePhraseBePlayed) {
  expect_legal({{lesson_with("", "cell = \"1 - 2\"\n"), "5"},
                {lesson_with("", "cell = \"1 - - 2 ++ 1\"\nrepeats = 3\n"), "4"},
                {lesson_with("", "cell = \"1 9 20\"\n"), "\"1 8 8\""},
                {lesson_with("", "cell = \"1 ------- 2\"\n"), ""}});
}

TEST(Repairs, OfAStartBeatFallOnANoteOfEveryFeel) {
  const auto start = [](const std::string& beat, const std::string& feels) {
    return lesson_with("", "cell = \"1 2\"\nnotes_per_beat = " + feels + "\nstart = { beat = " + beat + " }\n");
  };
  expect_legal({{start("-0.333", "[3]"), "-0.333333"},
                {start("-0.25", "[4, 6]"), "-0.5"},
                {start("-0.1", "[4]"), "0"},
                {start("0.6", "[3, 4]"), "1"},
                {start("0.142", "[7]"), "0.142857"}});
  EXPECT_TRUE(compile_lesson(start("-0.333333", "[3, 6]")).findings.empty());
  const auto findings = compile_lesson(start("0.3", "[4, 6]")).findings;
  ASSERT_EQ(findings.size(), 1U);
  EXPECT_EQ(
      findings.front().message,
      "a start at beat 3/10 falls between two notes at 4 a beat; write multiples of 1/2, which suit both 4 and 6 a "
      "beat");
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
