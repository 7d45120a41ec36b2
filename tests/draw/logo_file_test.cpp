#include "draw/logo_file.h"

#include <gtest/gtest.h>

#include "outside.h"
#include "sheet/build.h"

namespace fretloom::draw {
namespace {

TEST(LogoFile, IsReadWholeOrRefused) {
  const std::string path = testing::TempDir() + "logo.png";
  const std::string png = sheet::test::png_head(256, 64);
  fretloom::test::put_bytes(path, png);
  const auto logo = load_logo(path);
  ASSERT_TRUE(logo);
  EXPECT_EQ(logo->png, png);
  EXPECT_EQ(logo->width, 256);
  const auto none = load_logo("/no/such/logo.png");
  ASSERT_FALSE(none);
  EXPECT_EQ(none.error().kind, ErrorKind::io);
}

TEST(LogoFile, AboveTheLimitIsRefused) {
  const std::string path = testing::TempDir() + "large-logo.png";
  std::string png = sheet::test::png_head(256, 64);
  png.resize(sheet::k_max_logo_bytes + 1);
  fretloom::test::put_bytes(path, png);
  const auto logo = load_logo(path);
  ASSERT_FALSE(logo);
  EXPECT_EQ(logo.error().kind, ErrorKind::limit);
}

}  // namespace
}  // namespace fretloom::draw
