// QR codes, read back by a reader of our own from their modules and from a page's pixels.

#include "draw/link_code.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "draw/png.h"
#include "draw/png_reading.h"
#include "draw/qr_reading.h"
#include "sheet/build.h"
#include "sheet/code_drawing.h"
#include "sheet/engrave.h"

namespace fretloom::draw {
namespace {

std::string read(const sheet::LinkCode& code) {
  std::string why;
  const auto text = read_qr(
      code.side,
      [&](int row, int column) { return bool(code.dark[static_cast<std::size_t>(row * code.side + column)]); }, why);
  return text.value_or("unreadable: " + why);
}

TEST(LinkCode, SaysTheFirstWebLinkAtAnyLength) {
  for (std::size_t length = 12; length <= k_longest_coded_link; length += 7) {
    std::string link = "https://";
    while (link.size() < length) link += static_cast<char>('a' + link.size() * 7 % 26);
    const auto code = link_code({"mailto:teacher@example.org", link, "http://example.org/second"});
    ASSERT_TRUE(code) << length;
    EXPECT_EQ(code->link, link);
    EXPECT_EQ(read(*code), link);
  }
  EXPECT_EQ(read(*link_code({"HTTP://Example.org/\u00e9"})), "HTTP://Example.org/\u00e9");
}

TEST(LinkCode, NoneWithoutAWebLinkOrForALongOne) {
  EXPECT_FALSE(link_code({}));
  EXPECT_FALSE(link_code({"example.org", "ftp://example.org"}));
  EXPECT_TRUE(link_code({"https://" + std::string(k_longest_coded_link - 8, 'a')}));
  EXPECT_FALSE(link_code({"https://" + std::string(k_longest_coded_link - 7, 'a')}));
}

/// A damaged module is seen: the reader does not take everything.
TEST(LinkCode, TheReaderRefusesADamagedCode) {
  auto code = link_code({"https://example.org/lessons"});
  for (const std::size_t at : {0UL, code->dark.size() / 2 + 5, code->dark.size() - 1}) {
    sheet::LinkCode damaged = *code;
    damaged.dark[at] = !damaged.dark[at];
    EXPECT_EQ(read(damaged).rfind("unreadable", 0), 0U) << at;
  }
}

/// On the page: modules large enough, four of them white around, read from the pixels.
TEST(LinkCode, IsReadFromThePage) {
  for (const bool large : {false, true}) {
    sheet::SheetOptions options;
    if (large) options.set_print(sheet::k_large_print);
    Handout handout = sheet::test::demo_handout();
    handout.prose.links = {"https://example.org/lessons/climbing-sixes"};
    options.link_code = link_code(handout.prose.links);
    ASSERT_TRUE(options.link_code);
    const auto sheet = sheet::engrave(handout, sheet::test::demo_sentences(), options, sheet::test::music_font());
    ASSERT_TRUE(sheet);
    const auto& items = sheet->scene.pages[0].items;
    const auto drawn = std::find_if(items.begin(), items.end(), [](const sheet::SceneItem& item) {
      return item.mark == sheet::Mark::code && std::holds_alternative<sheet::PolygonShape>(item.shape);
    });
    ASSERT_NE(drawn, items.end());
    const sheet::Box box = sheet::box_of(drawn->shape, sheet::test::music_font());
    const double module = box.width() / options.link_code->side;
    EXPECT_GE(module * options.staff_space.value, 0.4);
    const sheet::Box quiet = box.grown(4 * module - 1e-6);
    for (const sheet::SceneItem& item : items) {
      if (&item == &*drawn) continue;
      EXPECT_FALSE(sheet::box_of(item.shape, sheet::test::music_font()).overlaps(quiet)) << name(item.mark);
    }
    const auto png = write_png(sheet->scene, sheet::test::music_font(), 0, 300);
    ASSERT_TRUE(png);
    const auto grey = greys_of(png->bytes);
    const double dots = options.staff_space.value / 25.4 * 300;
    std::string why;
    const auto text = read_qr(
        options.link_code->side,
        [&](int row, int column) {
          return grey(static_cast<int>((box.left + (column + 0.5) * module) * dots),
                      static_cast<int>((box.top + (row + 0.5) * module) * dots)) < 128;
        },
        why);
    EXPECT_EQ(text.value_or(why), handout.prose.links[0]);
    const bool said = std::any_of(items.begin(), items.end(), [](const sheet::SceneItem& item) {
      const auto* words = std::get_if<sheet::TextShape>(&item.shape);
      return words != nullptr && words->text.find("https://") != std::string::npos;
    });
    EXPECT_TRUE(said);
  }
}

}  // namespace
}  // namespace fretloom::draw
