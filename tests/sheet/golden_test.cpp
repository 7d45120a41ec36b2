// Golden dumps: each file of golden/ holds a lick, then every stage's text at several line widths.
// Rewrite one:  FRETLOOM_REWRITE=NAME build/dev/tests/sheet_test --gtest_filter='Golden.*'   (all: =all)

#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "base/text.h"
#include "lesson/compile.h"
#include "sheet/build.h"
#include "sheet/engrave.h"
#include "sheet/number.h"
#include "sheet/passage.h"
#include "sheet/svg.h"
#include "words/sentences_of.h"

namespace fretloom::sheet {
namespace {

namespace fs = std::filesystem;
const fs::path k_folder = fs::path(FRETLOOM_SOURCE_DIR) / "tests/sheet/golden";

struct Case {
  std::string input;           ///< everything before the first "===" line
  std::string idea;            ///< the builder's lines
  std::vector<double> widths;  ///< mm
  SheetOptions options;
};

Case read_case(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::stringstream whole;
  whole << file.rdbuf();
  const std::string text = whole.str();
  Case out;
  out.input = text.substr(0, text.find("=== "));
  out.options.prose = false;
  out.options.loom = false;
  out.options.neck = false;
  for (const std::string_view line : split(out.input, '\n')) {
    const auto parts = words(line);
    if (parts.empty()) continue;
    if (parts[0].text == "widths") {
      for (std::size_t i = 1; i < parts.size(); ++i) out.widths.push_back(parse_int(parts[i].text).value_or(100));
    } else if (parts[0].text == "options") {
      for (const Word& word : parts) {
        if (word.text == "ordinals") out.options.ordinals = true;
        if (word.text == "counting") out.options.counting = true;
        if (word.text == "no-strokes") out.options.strokes = false;
        if (word.text == "no-fingers") out.options.fingers = false;
        if (word.text == "no-repeats") out.options.repeats = RepeatSigns::never;
      }
    } else {
      out.idea += std::string(line) + "\n";
    }
  }
  return out;
}

std::string without_lines(const std::string& dump) {
  std::string out;
  for (const std::string_view line : split(dump, '\n')) {
    if (line.empty() || line.starts_with("staff-line") || line.starts_with("tab-line")) continue;
    out += std::string(line) + "\n";
  }
  return out;
}

std::string dump_of(const Case& input) {
  const IdeaSheet idea = test::idea_of(input.idea);
  std::string out;
  const auto plan = plan_passage({{&idea, &idea.feels[0], 0}}, "i1f1", test::music_font(), input.options);
  if (!plan) return "=== error\n" + plan.error().what + "\n";
  out += "=== rhythm\n" + to_text(plan->scores[0].rhythm);
  out += "=== staff\n" + to_text(plan->scores[0].notes, plan->scores[0].rhythm);
  out += "=== gaps\n" + to_text(plan.value());
  for (const double width : input.widths) {
    SheetOptions options = input.options;
    options.paper = Paper{Millimetres(width), Millimetres(150), Millimetres(3), PaperKind::sheet};
    const auto sheet = engrave(idea, 0, options, test::music_font());
    out += "=== width " + fixed(width) + "\n";
    if (!sheet) {
      out += sheet.error().what + "\n";
      continue;
    }
    for (const Finding& finding : sheet->findings.findings()) out += to_line(finding, "sheet") + "\n";
    out += without_lines(to_text(sheet->scene));
  }
  return out;
}

TEST(Golden, EveryCaseStands) {
  const char* rewrite = std::getenv("FRETLOOM_REWRITE");
  int cases = 0;
  std::vector<fs::path> files;
  for (const auto& entry : fs::directory_iterator(k_folder)) files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  for (const fs::path& path : files) {
    const Case input = read_case(path);
    ASSERT_FALSE(input.widths.empty()) << path;
    const std::string expected = input.input + dump_of(input);
    if (rewrite != nullptr && (path.stem() == rewrite || std::string(rewrite) == "all")) {
      std::ofstream(path, std::ios::binary) << expected;
    }
    std::ifstream file(path, std::ios::binary);
    std::stringstream found;
    found << file.rdbuf();
    EXPECT_EQ(found.str(), expected) << path;
    ++cases;
  }
  EXPECT_GE(cases, 25);
}

std::string demo_text() {
  std::ifstream file(fs::path(FRETLOOM_SOURCE_DIR) / "demos/climbing-sixes.toml", std::ios::binary);
  std::stringstream text;
  text << file.rdbuf();
  return text.str();
}

/// The pages that docs/engraving.md shows are what the code draws. FRETLOOM_REWRITE=docs rewrites them.
TEST(Golden, PagesOfTheDocsStand) {
  struct Shown {
    const char* file;
    int idea;
    int feel;
    bool strip;
  };
  const char* rewrite = std::getenv("FRETLOOM_REWRITE");
  for (const Shown& shown : {Shown{"engraving-page.svg", 0, 0, false}, Shown{"engraving-slurs.svg", 1, 0, true},
                             Shown{"engraving-six.svg", 0, 1, true}}) {
    SheetOptions options;
    if (shown.strip) options.only = {{shown.idea, shown.feel}};
    if (shown.strip) options.paper = k_strip;
    // The page is the demo lesson's own; what the strips show is in no demo.
    const CompiledLesson lesson = compile_lesson(demo_text());
    const Handout handout = shown.strip ? test::demo_handout() : make_handout(lesson);
    const LessonSentences sentences = shown.strip ? test::demo_sentences() : sentences_of(lesson, handout);
    const auto sheet = engrave(handout, sentences, options, test::music_font());
    ASSERT_TRUE(sheet);
    SvgOptions svg_options;
    svg_options.page = 0;
    const std::string svg = write_svg(sheet->scene, test::music_font(), svg_options);
    const fs::path path = fs::path(FRETLOOM_SOURCE_DIR) / "docs" / shown.file;
    if (rewrite != nullptr && (std::string(rewrite) == "docs" || std::string(rewrite) == "all")) {
      std::ofstream(path, std::ios::binary) << svg;
    }
    std::ifstream file(path, std::ios::binary);
    std::stringstream found;
    found << file.rdbuf();
    EXPECT_TRUE(found.str() == svg) << path;
  }
}

/// The strips of docs/engraving that show how a fault was mended. FRETLOOM_REWRITE=docs rewrites them; what stands
/// beside each as before-NAME.svg was drawn once, by the program as it was.
TEST(Golden, MendedFaultsStand) {
  const char* rewrite = std::getenv("FRETLOOM_REWRITE");
  const fs::path folder = fs::path(FRETLOOM_SOURCE_DIR) / "docs/engraving";
  int strips = 0;
  for (const auto& entry : fs::directory_iterator(folder)) {
    if (entry.path().extension() != ".toml") continue;
    std::ifstream lesson(entry.path(), std::ios::binary);
    std::stringstream text;
    text << lesson.rdbuf();
    const Handout handout = make_handout(compile_lesson(text.str()));
    ASSERT_EQ(handout.ideas.size(), 1U) << entry.path();
    LessonSentences sentences;
    sentences.ideas.resize(1);
    if (entry.path().stem() == "blocked")
      sentences.ideas[0].repair = "hammer on to the second note of every three, and all are free";
    SheetOptions options;
    options.paper = k_strip;
    options.repeats = RepeatSigns::never;
    options.only = {{0, 0}};
    const auto sheet = engrave(handout, sentences, options, test::music_font());
    ASSERT_TRUE(sheet) << entry.path();
    SvgOptions svg_options;
    svg_options.note_labels = false;
    const std::string svg = write_svg(sheet->scene, test::music_font(), svg_options);
    const std::string name = entry.path().stem().string();
    EXPECT_TRUE(fs::exists(folder / ("before-" + name + ".svg"))) << name;
    const fs::path path = folder / ("after-" + name + ".svg");
    if (rewrite != nullptr && (std::string(rewrite) == "docs" || std::string(rewrite) == "all"))
      std::ofstream(path, std::ios::binary) << svg;
    std::ifstream file(path, std::ios::binary);
    std::stringstream found;
    found << file.rdbuf();
    EXPECT_TRUE(found.str() == svg) << path;
    ++strips;
  }
  EXPECT_EQ(strips, 12);
}

}  // namespace
}  // namespace fretloom::sheet
