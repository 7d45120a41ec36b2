// The files, as other programs read them.

#include <gtest/gtest.h>

#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <set>

#include "outside.h"
#include "sheet/build.h"
#include "sheet/cairo_writer.h"
#include "sheet/engrave.h"
#include "sheet/svg.h"

// Fontconfig keeps its caches to the end of the process; 200 PDFs in a row use no more than 40.
extern "C" const char* __lsan_default_suppressions();
extern "C" const char* __lsan_default_suppressions() { return "leak:libfontconfig\n"; }

namespace fretloom::sheet {
namespace {

const Scene& demo_scene() {
  static const Scene scene = engrave(test::demo_handout(), {}, test::music_font()).value().scene;
  return scene;
}

std::string saved(const std::string& name, const std::string& bytes) {
  const std::string path = testing::TempDir() + name;
  fretloom::test::put_bytes(path, bytes);
  return path;
}

/// What a command prints, its exit code in `code`.
std::string run(const std::string& command, int& code) {
  const auto said = fretloom::test::run_tool(command);
  code = said.code;
  return said.out;
}

TEST(Svg, IsWellFormedAndPlain) {
  const std::string svg = write_svg(demo_scene(), test::music_font());
  EXPECT_EQ(svg.find(" style="), std::string::npos);
  EXPECT_EQ(svg.find("<script"), std::string::npos);
  EXPECT_EQ(svg.find("<style"), std::string::npos);
  EXPECT_NE(svg.find("<title id=\"title\">Climbing sixes</title>"), std::string::npos);
  EXPECT_NE(svg.find("id=\"i1f1n1\""), std::string::npos);
  EXPECT_NE(svg.find("aria-label=\"bar 1 beat 1: E3, string 6 fret 12, downstroke, finger 1\""), std::string::npos);
  if (!fretloom::test::have_tool("xmllint")) GTEST_SKIP() << "needs xmllint";
  int code = 0;
  const std::string said = run("xmllint --noout " + saved("sheet.svg", svg), code);
  EXPECT_EQ(code, 0) << said;
}

/// In grey, on paper and on a dark screen: every paint is the reader's own colour.
TEST(Svg, HasNoColourOfItsOwn) {
  const std::string svg = write_svg(demo_scene(), test::music_font());
  for (const std::string paint : {" fill=\"", " stroke=\""}) {
    for (std::size_t at = svg.find(paint); at != std::string::npos; at = svg.find(paint, at + 1)) {
      const std::string value = svg.substr(at + paint.size(), svg.find('"', at + paint.size()) - at - paint.size());
      EXPECT_TRUE(value == "currentColor" || value == "none") << value;
    }
  }
}

TEST(Svg, EveryNoteIsAGroupWithItsClass) {
  const std::string svg = write_svg(demo_scene(), test::music_font());
  for (const Passage& passage : demo_scene().passages) {
    for (std::size_t n = 0; n < passage.notes.size(); ++n) {
      const std::string group = "<g class=\"note\" id=\"" + passage.id + "n" + std::to_string(n + 1) + "\"";
      EXPECT_NE(svg.find(group), std::string::npos) << group;
    }
  }
}

TEST(Svg, IdsAreUniqueAndCarryThePrefix) {
  SvgOptions options;
  options.id_prefix = "lesson-";
  const std::string svg = write_svg(demo_scene(), test::music_font(), options);
  std::set<std::string> ids;
  for (std::size_t at = svg.find(" id=\""); at != std::string::npos; at = svg.find(" id=\"", at + 1)) {
    const std::string id = svg.substr(at + 5, svg.find('"', at + 5) - at - 5);
    EXPECT_TRUE(id.starts_with("lesson-")) << id;
    EXPECT_TRUE(ids.insert(id).second) << id;
  }
  for (std::size_t at = svg.find("href=\"#"); at != std::string::npos; at = svg.find("href=\"#", at + 1)) {
    EXPECT_EQ(ids.count(svg.substr(at + 7, svg.find('"', at + 7) - at - 7)), 1U);
  }
}

TEST(Svg, HostileTextStaysText) {
  Handout handout = test::demo_handout();
  handout.title = "<script>\"&\x01\xff\xed\xa0\x80</title>";
  handout.ideas[0].feels[0].title = "a]]>b";
  const auto sheet = engrave(handout, {}, test::music_font());
  ASSERT_TRUE(sheet);
  const std::string svg = write_svg(sheet->scene, test::music_font());
  EXPECT_EQ(svg.find("<script"), std::string::npos);
  if (!fretloom::test::have_tool("xmllint")) GTEST_SKIP() << "needs xmllint";
  int code = 0;
  const std::string said = run("xmllint --noout " + saved("hostile.svg", svg), code);
  EXPECT_EQ(code, 0) << said;
}

TEST(Svg, OnePageOrAll) {
  SvgOptions options;
  options.page = 1;
  const std::string one = write_svg(demo_scene(), test::music_font(), options);
  EXPECT_NE(one.find("id=\"page-2\""), std::string::npos);
  EXPECT_EQ(one.find("id=\"page-1\""), std::string::npos);
  EXPECT_LT(one.size(), write_svg(demo_scene(), test::music_font()).size());
}

TEST(Pdf, SameSceneSameBytes) {
  const auto first = write_pdf(demo_scene(), test::music_font());
  const auto second = write_pdf(demo_scene(), test::music_font());
  ASSERT_TRUE(first && second);
  EXPECT_EQ(first->bytes, second->bytes);
  EXPECT_TRUE(first->bytes.starts_with("%PDF-1."));
}

TEST(Pdf, ChecksFontsAndWords) {
  if (!fretloom::test::have_tool("qpdf") || !fretloom::test::have_tool("pdffonts") ||
      !fretloom::test::have_tool("pdftotext"))
    GTEST_SKIP() << "needs qpdf and poppler's tools";
  const auto pdf = write_pdf(demo_scene(), test::music_font());
  ASSERT_TRUE(pdf);
  const std::string path = saved("sheet.pdf", pdf->bytes);
  int code = 0;
  const std::string checked = run("qpdf --check " + path, code);
  EXPECT_EQ(code, 0) << checked;
  const std::string fonts = run("pdffonts " + path, code);
  EXPECT_EQ(code, 0);
  int rows = 0;
  for (std::size_t at = fonts.find('\n', fonts.find('\n') + 1) + 1; at < fonts.size(); at = fonts.find('\n', at) + 1) {
    // Columns: name (36), type (17), encoding (16), then "emb".
    EXPECT_EQ(fonts.substr(at + 72, 3), "yes") << fonts.substr(at, fonts.find('\n', at) - at);
    ++rows;
  }
  EXPECT_GE(rows, 3);
  const std::string text = run("pdftotext -f 1 -l 1 " + path + " -", code);
  EXPECT_NE(text.find("Climbing sixes"), std::string::npos);
  EXPECT_NE(text.find("Em7"), std::string::npos);
  EXPECT_NE(text.find("A7"), std::string::npos);
  EXPECT_EQ(text.find("\xEF\xBF\xBD"), std::string::npos) << "a symbol leaked into the text";
}

/// The fret digits of the first idea as pdftotext gives them, in the file's own order.
TEST(Pdf, FretsComeInReadingOrder) {
  if (!fretloom::test::have_tool("pdftotext")) GTEST_SKIP() << "needs pdftotext";
  SheetOptions options;
  options.only = {{0, 0}};
  options.prose = false;
  options.neck = false;
  options.fingers = false;
  const auto sheet = engrave(test::demo_handout(), options, test::music_font());
  const auto pdf = write_pdf(sheet->scene, test::music_font());
  int code = 0;
  const std::string text = run("pdftotext -raw " + saved("frets.pdf", pdf->bytes) + " -", code);
  std::string wanted;
  std::string digits;
  const Handout demo = test::demo_handout();
  for (const ScoreNote& note : demo.ideas[0].feels[0].notes) wanted += std::to_string(note.fret);
  for (const char c : text) {
    if (c >= '0' && c <= '9') digits += c;
  }
  EXPECT_NE(digits.find(wanted), std::string::npos) << text;
}

TEST(Pdf, BookmarksPointToTheIdeas) {
  if (!fretloom::test::have_tool("qpdf")) GTEST_SKIP() << "needs qpdf";
  int code = 0;
  const std::string outline =
      run("qpdf --json --json-key=outlines " + saved("marks.pdf", write_pdf(demo_scene(), test::music_font())->bytes),
          code);
  EXPECT_NE(outline.find("1. Six that folds back"), std::string::npos);
  EXPECT_NE(outline.find("All ideas in a row"), std::string::npos);
}

TEST(Png, HasTheSizeAsked) {
  const auto png = write_png(demo_scene(), test::music_font(), 0, 100);
  ASSERT_TRUE(png);
  const auto logo = make_logo(png->bytes, "page");  // reads the size of any PNG
  ASSERT_TRUE(logo);
  EXPECT_EQ(logo->width, 827);    // 210 mm at 100 dots an inch
  EXPECT_EQ(logo->height, 1170);  // 297 mm
  const auto narrow = write_png(demo_scene(), test::music_font(), 0, 100, 390);
  ASSERT_TRUE(narrow);
  EXPECT_EQ(make_logo(narrow->bytes, "page")->width, 390);
  EXPECT_FALSE(write_png(demo_scene(), test::music_font(), 99, 100));
  EXPECT_FALSE(write_png(demo_scene(), test::music_font(), 0, 5));
  EXPECT_FALSE(write_png(demo_scene(), test::music_font(), 0, 100, 1000000));
}

/// Pango reads the fonts once a process, so the test runs itself again where only one other font is known.
TEST(TextFont, MissingIsNamedWithItsPackage) {
  if (std::getenv("FRETLOOM_OTHER_FONTS") == nullptr) {
    const std::string fonts = "/usr/share/fonts/truetype/dejavu";
    if (!std::filesystem::exists(fonts)) GTEST_SKIP() << "needs " << fonts;
    const std::string conf =
        saved("fonts.conf", "<?xml version=\"1.0\"?><fontconfig><dir>" + fonts + "</dir></fontconfig>");
    const std::string self = std::filesystem::read_symlink("/proc/self/exe").string();
    int code = 0;
    const std::string said = run("FRETLOOM_OTHER_FONTS=1 FONTCONFIG_FILE=" + conf + " '" + self +
                                     "' --gtest_filter=TextFont.MissingIsNamedWithItsPackage 2>&1",
                                 code);
    EXPECT_EQ(code, 0) << said;
    return;
  }
  const auto pdf = write_pdf(demo_scene(), test::music_font());
  ASSERT_TRUE(pdf);
  ASSERT_EQ(pdf->findings.findings().size(), 1U);
  EXPECT_EQ(pdf->findings.findings()[0].code, "sheet-text-font-missing");
  EXPECT_NE(to_line(pdf->findings.findings()[0], "x.pdf").find("fonts-sil-gentiumplus"), std::string::npos);
}

TEST(Logo, StandsInTheHeadAndBadDataIsNamed) {
  SheetOptions options;
  options.logo = make_logo(write_png(demo_scene(), test::music_font(), 0, 36)->bytes, "logo").value();
  const auto sheet = engrave(test::demo_handout(), options, test::music_font());
  ASSERT_TRUE(sheet);
  EXPECT_NE(write_svg(sheet->scene, test::music_font()).find("data:image/png;base64,iVBOR"), std::string::npos);
  EXPECT_TRUE(write_pdf(sheet->scene, test::music_font())->findings.findings().empty());
  Scene broken = sheet->scene;
  broken.logo_png.resize(100);
  const auto pdf = write_pdf(broken, test::music_font());
  ASSERT_TRUE(pdf);
  ASSERT_FALSE(pdf->findings.findings().empty());
  EXPECT_EQ(pdf->findings.findings()[0].code, "sheet-logo-unreadable");
}

}  // namespace
}  // namespace fretloom::sheet
