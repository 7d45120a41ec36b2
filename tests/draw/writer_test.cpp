// The files, as other programs read them.

#include <cairo.h>
#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>

#include "draw/pdf.h"
#include "draw/png.h"
#include "draw/png_reading.h"
#include "outside.h"
#include "sheet/build.h"
#include "sheet/engrave.h"
#include "sheet/loom_drawing.h"

// Fontconfig keeps its caches to the end of the process; 200 PDFs in a row use no more than 40.
extern "C" const char* __lsan_default_suppressions();
extern "C" const char* __lsan_default_suppressions() { return "leak:libfontconfig\n"; }

namespace fretloom::draw {
namespace {

using sheet::test::demo_scene;
using sheet::test::run;
using sheet::test::saved;

TEST(Pdf, SameSceneSameBytes) {
  const auto first = write_pdf(demo_scene(), sheet::test::music_font());
  const auto second = write_pdf(demo_scene(), sheet::test::music_font());
  ASSERT_TRUE(first && second);
  EXPECT_EQ(first->bytes, second->bytes);
  EXPECT_TRUE(first->bytes.starts_with("%PDF-1."));
}

TEST(Pdf, ChecksFontsAndWords) {
  if (!fretloom::test::have_tool("qpdf") || !fretloom::test::have_tool("pdffonts") ||
      !fretloom::test::have_tool("pdftotext"))
    GTEST_SKIP() << "needs qpdf and poppler's tools";
  const auto pdf = write_pdf(demo_scene(), sheet::test::music_font());
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
  sheet::SheetOptions options;
  options.only = {{0, 0}};
  options.prose = false;
  options.neck = false;
  options.fingers = false;
  const auto sheet = sheet::engrave(sheet::test::demo_handout(), {}, options, sheet::test::music_font());
  const auto pdf = write_pdf(sheet->scene, sheet::test::music_font());
  int code = 0;
  const std::string text = run("pdftotext -raw " + saved("frets.pdf", pdf->bytes) + " -", code);
  std::string wanted;
  std::string digits;
  const Handout demo = sheet::test::demo_handout();
  for (const ScoreNote& note : demo.ideas[0].feels[0].notes) wanted += std::to_string(note.fret);
  for (const char c : text) {
    if (c >= '0' && c <= '9') digits += c;
  }
  EXPECT_NE(digits.find(wanted), std::string::npos) << text;
}

TEST(Pdf, BookmarksPointToTheIdeas) {
  if (!fretloom::test::have_tool("qpdf")) GTEST_SKIP() << "needs qpdf";
  int code = 0;
  const std::string outline = run("qpdf --json --json-key=outlines " +
                                      saved("marks.pdf", write_pdf(demo_scene(), sheet::test::music_font())->bytes),
                                  code);
  EXPECT_NE(outline.find("1. Six that folds back"), std::string::npos);
  EXPECT_NE(outline.find("All ideas in a row"), std::string::npos);
}

/// One shape of each kind at its own place, each in its tone's grey.
TEST(Png, DrawsEveryShapeInItsGrey) {
  using namespace sheet;
  Scene scene;
  scene.staff_space = Millimetres(25.4);  // 100 dots a staff space
  ScenePage page{5, 1, {}};
  const auto add = [&](const Shape& shape, Tone tone) { page.items.push_back({Mark::band, {}, -1, shape, tone}); };
  add(BoxShape{{0.1, 0.1, 0.9, 0.9}, 0.2, 0}, Tone::rule_band);
  add(PolygonShape{{{{1.1, 0.1}, {1.9, 0.1}, {1.5, 0.9}}}, 0}, Tone::downstroke);
  add(DotsShape{{2.1, 0.5}, {2.9, 0.5}, 0.2}, Tone::soft_ink);
  add(BoxShape{{3.1, 0.1, 3.9, 0.9}, 0, 0.1}, Tone::line);
  add(PolygonShape{{{{4.1, 0.1}, {4.9, 0.1}, {4.9, 0.9}, {4.1, 0.9}}, {{4.4, 0.4}, {4.6, 0.4}, {4.6, 0.6}, {4.4, 0.6}}},
                   0},
      Tone::good);
  scene.pages.push_back(page);
  const auto png = write_png(scene, sheet::test::music_font(), 0, 100);
  ASSERT_TRUE(png);
  const auto grey = greys_of(png->bytes);
  const auto level = [](Tone tone) { return static_cast<int>(std::lround(row_of(tone).grey * 255)); };
  const auto near = [&](double x, double y, int wanted) {
    EXPECT_NEAR(grey(static_cast<int>(x * 100), static_cast<int>(y * 100)), wanted, 1) << x << ' ' << y;
  };
  near(0.5, 0.5, level(Tone::rule_band));
  near(0.11, 0.11, 255);  // the corner is round
  near(1.5, 0.5, level(Tone::downstroke));
  near(1.2, 0.8, 255);
  near(2.1, 0.5, level(Tone::soft_ink));
  near(2.3, 0.5, 255);  // between two dots
  near(3.15, 0.5, level(Tone::line));
  near(3.5, 0.5, 255);
  near(4.2, 0.5, level(Tone::good));
  near(4.5, 0.5, 255);  // the hole
}

/// What is left of a loom in a printer's one bit a dot.
struct OneBit {
  std::function<int(int, int)> grey;
  double unit;  ///< dots a staff space

  /// Share of ink on a level line around x, half a knot to either side.
  [[nodiscard]] double share(sheet::Point p, double half) const {
    int ink = 0;
    int dots = 0;
    for (int x = static_cast<int>((p.x - half) * unit); x <= static_cast<int>((p.x + half) * unit); ++x, ++dots)
      ink += grey(x, static_cast<int>(p.y * unit)) < 128 ? 1 : 0;
    return static_cast<double>(ink) / dots;
  }
};

/// By its shape alone: a downstroke is flat above and points down, an upstroke the other way round, and a slurred note
/// is flat on neither side.
std::optional<sheet::KnotKind> kind_seen(const OneBit& print, sheet::Point digit_middle, double pixel) {
  using sheet::KnotKind;
  std::optional<KnotKind> kind;
  // A knot's middle lies within three pixels of its digit's, whichever kind it is.
  for (int off = -3; off <= 3; ++off) {
    const sheet::Point p{digit_middle.x, digit_middle.y + off * pixel};
    const bool above = print.share({p.x, p.y - 8 * pixel}, 8.5 * pixel) > 0.9;
    const bool below = print.share({p.x, p.y + 8 * pixel}, 8.5 * pixel) > 0.9;
    if (above && !below) kind = KnotKind::down;
    if (below && !above) kind = KnotKind::up;
  }
  return kind;
}

TEST(Loom, KnotsAreToldApartInOneBit) {
  using namespace sheet;
  const IdeaSheet idea = sheet::test::idea_of(
      "feel 4\ngroup 8\nnotes 6:12 h6:14 6:15 6:14 5:12 5:14 h5:16 p5:14 4:12 4:14! 4:16 h4:17 3:12 2:14 1:15 2:14");
  const Score& score = idea.feels[0];
  for (const double dpi : {150.0, 300.0, 600.0}) {
    const SheetOptions options;
    const LoomSize size = loom_size(idea, options);
    const Loom loom = lay_loom(idea, score, loom_units(size, 100));
    const auto rows = draw_loom(loom, idea, score, 0, 100, options, sheet::test::music_font());
    ASSERT_EQ(rows.size(), 1U);
    Scene scene;
    scene.pages.push_back({100, rows[0].height, rows[0].items});
    const auto png = write_png(scene, sheet::test::music_font(), 0, dpi);
    ASSERT_TRUE(png);
    const OneBit print{greys_of(png->bytes), scene.staff_space.value / 25.4 * dpi};
    int knots = 0;
    for (const SceneItem& item : rows[0].items) {
      if (item.mark != Mark::knot_fret) continue;
      const auto& fret = std::get<TextShape>(item.shape);
      const Point middle{fret.at.x, fret.at.y - fret.size * k_cap_height / 2};
      const KnotKind wanted = loom.knots[static_cast<std::size_t>(item.note.note)].kind;
      EXPECT_EQ(kind_seen(print, middle, size.pixel).value_or(KnotKind::slurred), wanted)
          << "note " << item.note.note << " at " << dpi << " dpi";
      ++knots;
    }
    EXPECT_EQ(knots, 16);
  }
}

TEST(Png, HasTheSizeAsked) {
  const auto png = write_png(demo_scene(), sheet::test::music_font(), 0, 100);
  ASSERT_TRUE(png);
  const auto logo = sheet::make_logo(png->bytes, "page");  // reads the size of any PNG
  ASSERT_TRUE(logo);
  EXPECT_EQ(logo->width, 827);    // 210 mm at 100 dots an inch
  EXPECT_EQ(logo->height, 1170);  // 297 mm
  const auto narrow = write_png(demo_scene(), sheet::test::music_font(), 0, 100, 390);
  ASSERT_TRUE(narrow);
  EXPECT_EQ(sheet::make_logo(narrow->bytes, "page")->width, 390);
  EXPECT_FALSE(write_png(demo_scene(), sheet::test::music_font(), 99, 100));
  EXPECT_FALSE(write_png(demo_scene(), sheet::test::music_font(), 0, 5));
  EXPECT_FALSE(write_png(demo_scene(), sheet::test::music_font(), 0, 100, 1000000));
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
  const auto pdf = write_pdf(demo_scene(), sheet::test::music_font());
  ASSERT_TRUE(pdf);
  ASSERT_EQ(pdf->findings.findings().size(), 1U);
  EXPECT_EQ(pdf->findings.findings()[0].code, "sheet-text-font-missing");
  EXPECT_NE(to_line(pdf->findings.findings()[0], "x.pdf").find("fonts-sil-gentiumplus"), std::string::npos);
}

TEST(Logo, StandsInTheHeadAndBadDataIsNamed) {
  sheet::SheetOptions options;
  options.logo = sheet::make_logo(write_png(demo_scene(), sheet::test::music_font(), 0, 36)->bytes, "logo").value();
  const auto sheet = sheet::engrave(sheet::test::demo_handout(), {}, options, sheet::test::music_font());
  ASSERT_TRUE(sheet);
  EXPECT_TRUE(write_pdf(sheet->scene, sheet::test::music_font())->findings.findings().empty());
  sheet::Scene broken = sheet->scene;
  broken.logo_png.resize(100);
  const auto pdf = write_pdf(broken, sheet::test::music_font());
  ASSERT_TRUE(pdf);
  ASSERT_FALSE(pdf->findings.findings().empty());
  EXPECT_EQ(pdf->findings.findings()[0].code, "sheet-logo-unreadable");
}

}  // namespace
}  // namespace fretloom::draw
