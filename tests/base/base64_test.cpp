#include "base/base64.h"

#include <gtest/gtest.h>

namespace fretloom {
namespace {

// RFC 4648, section 10, and two bytes that need the last two digits of the alphabet.
TEST(Base64, IsThatOfTheStandard) {
  EXPECT_EQ(base64(""), "");
  EXPECT_EQ(base64("f"), "Zg==");
  EXPECT_EQ(base64("fo"), "Zm8=");
  EXPECT_EQ(base64("foo"), "Zm9v");
  EXPECT_EQ(base64("foob"), "Zm9vYg==");
  EXPECT_EQ(base64("fooba"), "Zm9vYmE=");
  EXPECT_EQ(base64("foobar"), "Zm9vYmFy");
  EXPECT_EQ(base64("\xFB\xFF"), "+/8=");
}

}  // namespace
}  // namespace fretloom
