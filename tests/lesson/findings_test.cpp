// What a teacher may well type, what Fretloom says to it, and that what it offers instead is right.
// docs/findings.md is written from this table: FRETLOOM_REWRITE=1 lesson_test --gtest_filter='Findings*'; read the
// change before you keep it.

#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <set>

#include "lesson/finding_line.h"
#include "lesson/repaired.h"
#include "outside.h"

namespace fretloom {
namespace {

/// Lines of a lesson, one of them wrong. The others of a small lesson without findings stand around them.
struct Wrong {
  bool in_idea = false;
  const char* lines;
};

constexpr bool k_top = false;
constexpr bool k_idea = true;

const std::vector<Wrong> k_wrong = {
    // Key and scale
    {k_top, "key = \"H dorian\""},
    {k_top, "key = \"Em\""},
    {k_top, "key = \"Am pentatonic\""},
    {k_top, "key = \"F#-moll\""},
    {k_top, "key = \"E doiran\""},
    {k_top, "key = \"dorian\""},
    {k_top, "key = \"E zebra\""},
    {k_top, "key = 5"},
    {k_top, "key = \"E dorian\"\ntonic = \"E\""},
    {k_top, "tonic = \"H\"\nscale = [\"1\", \"2\", \"b3\", \"4\", \"5\", \"6\", \"b7\"]"},
    {k_top, "tonic = \"E\""},
    {k_top, "tonic = \"E\"\nscale = [\"1\"]"},
    // Instrument
    {k_top, "tuning = \"drop-d\""},
    {k_top, "tuning = \"dropped e\""},
    {k_top, "tuning = [\"E2\", \"A2\", \"D3\", \"G3\", \"H3\", \"E4\"]"},
    {k_top, "tuning = [\"E\", \"A\", \"D\", \"G\", \"B\", \"E\"]"},
    {k_top, "tuning = \"EADGBE\""},
    {k_top, "tuning = [40, \"A2\", \"D3\", \"G3\", \"B3\", \"E4\"]"},
    {k_top, "frets = 99"},
    {k_top, "frets = \"22 frets\""},
    {k_top, "capo = -1"},
    {k_top, "capo = \"2nd fret\""},
    {k_top, "scale_length = 25.5"},
    {k_top, "reach = \"110 mm\""},
    // Time
    {k_top, "meter = \"3:4\""},
    {k_top, "meter = \"C\""},
    {k_top, "meter = \"7/7\""},
    {k_top, "meter = 4"},
    {k_top, "tempo = \"120 bpm\""},
    {k_top, "tempo = 90"},
    {k_top, "tempo = { slow = 60, goal = \"140 bpm\" }"},
    {k_top, "tempo = { slow = 5, goal = 100 }"},
    {k_top, "tempo = { slow = 120, goal = 60 }"},
    {k_top, "clear_after = \"up\""},
    {k_top, "clear_after = \"D\""},
    // Layout
    {k_top, "layout = \"position\""},
    {k_top, "layout = { kind = \"3nps\", from = 12 }"},
    {k_top, "layout = { from = 23 }"},
    {k_top, "layout = { notes = 40, from = 12 }"},
    {k_top, "layout = { width = 5, from = 12 }"},
    {k_top, "layout = { kind = \"octaves\", notes = 4, from = 2 }"},
    {k_top, "layout = { strating = 12, from = 12 }"},
    // Vamp
    {k_top, "vamp = \"Em7 | A7\""},
    {k_top, "vamp = { chords = \"Em7 | N.C.\" }"},
    {k_top, "vamp = { chords = \"N.C. | A7 nc\" }"},
    {k_top, "vamp = { chords = \"Hm7 | E7\" }"},
    {k_top, "vamp = { chords = \"Em7 || A7\" }"},
    {k_top, "vamp = { chords = \"Emin7th | A7\" }"},
    {k_top, "vamp = { chords = \"Em7 A7 D G C\" }"},
    {k_top, "vamp = { rhythm = \"16ths\" }"},
    {k_top, "vamp = { swing = \"66%\" }"},
    // Prose
    {k_top, "links = \"https://example.org\""},
    {k_top, "autor = \"Demo Teacher\""},
    {k_top, "version = 2"},
    // Rule
    {k_idea, "cell = \"1,2,3,2\""},
    {k_idea, "cell = \"1-2-3-2\""},
    {k_idea, "cell = \"1 2 3 2 |\""},
    {k_idea, "cell = \"a b c b\""},
    {k_idea, "cell = \"1232\""},
    {k_idea, "cell = \"1 H2\""},
    {k_idea, "cell = \"1 2 +\""},
    {k_idea, "cell = \"1 + h2\""},
    {k_idea, "cell = \"1 p2 3 2\""},
    {k_idea, "cell = \"1 0 2 1\""},
    {k_idea, "cell = \"1 2 9 2\""},
    {k_idea, "cell = 1232"},
    {k_idea, "cell = \"1 2\"\nsequence = \"1 2\""},
    {k_idea, "sequence = \"1 2 + 3\""},
    // Carry, start and time of an idea
    {k_idea, "carry = 2"},
    {k_idea, "carry = { strings = 0 }"},
    {k_idea, "start = 6"},
    {k_idea, "start = { string = 7 }"},
    {k_idea, "start = { beat = -0.3 }"},
    {k_idea, "repeats = \"4 times\""},
    {k_idea, "repeats = 9"},
    {k_idea, "back = \"mirror\""},
    {k_idea, "notes_per_beat = 4"},
    {k_idea, "notes_per_beat = [4, 16]"},
    {k_idea, "picking = \"strict\""},
    {k_idea, "first_stroke = \"U\""},
    {k_idea, "ending = \"hold\""},
    {k_idea, "ending = { degree = \"5th\" }"},
    {k_idea, "ending = { on = \"downbeat\" }"},
    {k_idea, "fingers = [1, 2, 5, 2]"},
    {k_idea, "fingers = [{ note = 1 }]"},
    {k_idea, "edits = [{ repeat = 99, note = 1, fret = 12 }]"},
    {k_idea, "edits = 3"},
    // Picking
    {k_idea, "cell = \"1 2 3\""},
};

/// True if one of the lines sets this key.
bool sets(const Wrong& wrong, const std::string& key) {
  return ("\n" + std::string(wrong.lines)).find("\n" + key + " =") != std::string::npos;
}

std::string lesson_of(const Wrong& wrong) {
  std::string text = "title = \"Small\"\n";
  if (wrong.in_idea || (!sets(wrong, "key") && !sets(wrong, "tonic"))) text += "key = \"E dorian\"\n";
  if (wrong.in_idea || !sets(wrong, "layout")) text += "layout = { from = 12 }\n";
  if (!wrong.in_idea) text += std::string(wrong.lines) + "\n";
  text += "[[idea]]\nname = \"Threes\"\n";
  if (wrong.in_idea) text += std::string(wrong.lines) + "\n";
  if (!wrong.in_idea || (!sets(wrong, "cell") && !sets(wrong, "sequence"))) text += "cell = \"1 2 3 2\"\n";
  if (!wrong.in_idea || !sets(wrong, "ending")) text += "ending = \"none\"\n";
  return text;
}

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  for (std::size_t at = 0; (at = text.find(from, at)) != std::string::npos; at += to.size())
    text.replace(at, from.size(), to);
  return text;
}

/// A cell of the page's table.
std::string code(const std::string& text) { return "`" + replaced(replaced(text, "|", "\\|"), "\n", "` `") + "`"; }

/// What stands in docs/findings.md for one wrong line.
std::string row_of(const Wrong& wrong) {
  const CompiledLesson compiled = compile_lesson(lesson_of(wrong));
  if (compiled.findings.empty()) return code(wrong.lines) + " has no finding\n";
  const Finding& finding = compiled.findings.front();
  const std::string who = compiled.lesson ? idea_words(finding, *compiled.lesson) : "";
  return "| " + code(wrong.lines) + " | " + std::string(name(finding.level)) + ": " + (who.empty() ? "" : who + ": ") +
         replaced(finding.message, "|", "\\|") + " | " + (finding.repair.empty() ? "" : code(finding.repair)) + " |\n";
}

TEST(Findings, EveryRepairOfAWrongLineIsRight) {
  EXPECT_GE(k_wrong.size(), 60U);
  EXPECT_TRUE(compile_lesson(lesson_of({k_top, ""})).findings.empty());
  std::size_t repairs = 0;
  for (const Wrong& wrong : k_wrong) {
    SCOPED_TRACE(wrong.lines);
    const auto findings = compile_lesson(lesson_of(wrong)).findings;
    ASSERT_FALSE(findings.empty());
    EXPECT_EQ(findings.size(), 1U) << findings[1].message;  // one slip, one finding
    if (findings.front().repair.empty()) continue;
    ++repairs;
    EXPECT_TRUE(test::is_legal(lesson_of(wrong), findings.front())) << findings.front().repair;
  }
  EXPECT_GE(repairs, 60U);
}

TEST(Findings, AreWhatTheirPageSays) {
  std::string page =
      "# What Fretloom says to a slip\n\n"
      "Each line on the left stands in a small lesson that is right otherwise; this is what `fretloom check` says to "
      "it "
      "and offers instead. The page is written by a test, which also puts every repair into the lesson and looks "
      "whether "
      "the finding is gone. An idea's findings begin with its number and name, and with the bar where they speak of "
      "one.\n\n"
      "| you write | Fretloom says | repair |\n| --- | --- | --- |\n";
  for (const Wrong& wrong : k_wrong) page += row_of(wrong);
  const std::string path = FRETLOOM_SOURCE_DIR "/docs/findings.md";
  if (std::getenv("FRETLOOM_REWRITE") != nullptr) test::put_bytes(path, page);
  EXPECT_EQ(test::bytes_of(path), page);
}

}  // namespace
}  // namespace fretloom
