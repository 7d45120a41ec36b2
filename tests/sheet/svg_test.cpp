// The SVG file, as other programs read it.

#include "sheet/svg.h"

#include <gtest/gtest.h>

#include <set>
#include <string>

#include "outside.h"
#include "sheet/build.h"
#include "sheet/engrave.h"

namespace fretloom::sheet {
namespace {

using test::demo_scene;
using test::run;
using test::saved;

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
  handout.prose.title = "<script>\"&\x01\xff\xed\xa0\x80</title>";
  handout.ideas[0].name = "a]]>b";
  const auto sheet = engrave(handout, {}, {}, test::music_font());
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

/// Every shape that a drawing may have, each in another tone.
Scene scene_of_all_shapes() {
  Scene scene;
  ScenePage page{20, 10, {}};
  const Box box{1, 1, 3, 2};
  const std::vector<Shape> shapes{DotsShape{{0, 0}, {4, 3}, 0.2}, PolygonShape{{{{0, 0}, {2, 0}, {1, 2}}}, 0},
                                  PolygonShape{{{{0, 0}, {2, 0}, {1, 2}}, {{0.5, 0.5}, {1, 0.5}, {1, 1}}}, 0.1},
                                  BoxShape{box, 0.5, 0}, BoxShape{box, 0, 0.2}};
  std::size_t tone = 1;
  for (const Shape& shape : shapes) page.items.push_back({Mark::band, {}, -1, shape, static_cast<Tone>(tone++)});
  scene.pages.push_back(page);
  return scene;
}

TEST(Svg, WritesShapesInTheirTones) {
  const std::string svg = write_svg(scene_of_all_shapes(), test::music_font());
  EXPECT_NE(svg.find("<g class=\"band soft-ink\" color=\"#4d4d4d\"><path d=\"M0 0L4 3\" stroke=\"currentColor\" "
                     "stroke-linecap=\"round\" stroke-dasharray=\"0 0.455\" stroke-width=\"0.2\"/></g>"),
            std::string::npos)
      << svg;
  EXPECT_NE(svg.find("<path d=\"M0 0L2 0L1 2Z\"/>"), std::string::npos) << svg;
  EXPECT_NE(svg.find("<path d=\"M0 0L2 0L1 2ZM0.5 0.5L1 0.5L1 1Z\" fill-rule=\"evenodd\" fill=\"none\" "
                     "stroke=\"currentColor\" stroke-width=\"0.1\"/>"),
            std::string::npos)
      << svg;
  EXPECT_NE(svg.find("<rect x=\"1\" y=\"1\" width=\"2\" height=\"1\" rx=\"0.5\"/>"), std::string::npos) << svg;
  EXPECT_NE(svg.find("<rect x=\"1.1\" y=\"1.1\" width=\"1.8\" height=\"0.8\" fill=\"none\""), std::string::npos) << svg;
}

/// On a screen pixels, on paper millimetres; the drawing inside is the same.
TEST(Svg, CountsPixelsOnAScreen) {
  Scene scene = scene_of_all_shapes();
  scene.staff_space = pixels(8);
  EXPECT_TRUE(write_svg(scene, test::music_font()).find("mm\"") != std::string::npos);
  scene.medium = Medium::screen;
  const std::string svg = write_svg(scene, test::music_font());
  EXPECT_NE(svg.find("width=\"160\" height=\"80\" viewBox=\"0 0 20 10\""), std::string::npos) << svg.substr(0, 200);
  EXPECT_EQ(svg.find("mm\""), std::string::npos);
}

TEST(Svg, AScreenHasOnePageOfItsWidth) {
  for (const double width : {390.0, 768.0, 1440.0}) {
    SheetOptions options;
    options.set_paper(screen_paper(width));
    const auto sheet = engrave(test::demo_handout(), test::demo_sentences(), options, test::music_font());
    ASSERT_TRUE(sheet) << sheet.error().what;
    ASSERT_EQ(sheet->scene.pages.size(), 1U);
    const ScenePage& page = sheet->scene.pages[0];
    EXPECT_NEAR(page.width * options.staff_space.value / k_pixel.value, width, 1e-6);
    for (const SceneItem& item : page.items) {
      const Box box = box_of(item.shape, test::music_font());
      if (box.empty()) continue;
      EXPECT_GE(box.left, 0) << name(item.mark);
      EXPECT_LE(box.right, page.width) << name(item.mark);
      EXPECT_LE(box.bottom, page.height) << name(item.mark);
    }
  }
}

/// A PNG's head is all that layout reads, so that is all this one has.
TEST(Svg, LogoStandsInTheFileItself) {
  SheetOptions options;
  options.logo = make_logo(test::png_head(256, 64), "logo").value();
  const auto sheet = engrave(test::demo_handout(), {}, options, test::music_font());
  ASSERT_TRUE(sheet);
  EXPECT_NE(write_svg(sheet->scene, test::music_font()).find("data:image/png;base64,iVBOR"), std::string::npos);
}

}  // namespace
}  // namespace fretloom::sheet
