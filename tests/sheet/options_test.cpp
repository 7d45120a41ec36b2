#include "sheet/options.h"

#include <gtest/gtest.h>

#include "sheet/build.h"

namespace fretloom::sheet {
namespace {

TEST(Logo, IsReadFromPngBytesOnly) {
  const std::string png = test::png_head(256, 64);
  const auto logo = make_logo(png, "logo.png");
  ASSERT_TRUE(logo);
  EXPECT_EQ(logo->width, 256);
  EXPECT_EQ(logo->height, 64);
  EXPECT_FALSE(make_logo("GIF89a", "logo.gif"));
  EXPECT_FALSE(make_logo(png.substr(0, 20), "short.png"));
}

TEST(Logo, AboveTheLimitIsRefused) {
  std::string png = test::png_head(256, 64);
  png.resize(k_max_logo_bytes);
  EXPECT_TRUE(make_logo(png, "logo.png"));
  const auto logo = make_logo(png + '\0', "logo.png");
  ASSERT_FALSE(logo);
  EXPECT_EQ(logo.error().kind, ErrorKind::limit);
}

}  // namespace
}  // namespace fretloom::sheet
