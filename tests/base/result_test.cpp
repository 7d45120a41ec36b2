#include "base/result.h"

#include <gtest/gtest.h>

#include <memory>
#include <string>
#include <type_traits>

namespace fretloom {
namespace {

Result<void> even(int number) {
  if (number % 2 == 0) return {};
  return Error{ErrorKind::range, 0, std::to_string(number) + " is odd", std::to_string(number + 1)};
}

TEST(Result, IsAValueOrAnError) {
  const Result<int> seven = 7;
  ASSERT_TRUE(seven.ok());
  EXPECT_TRUE(seven);
  EXPECT_EQ(*seven, 7);
  const Result<int> none = Error{ErrorKind::syntax, 3, "no number", "7"};
  ASSERT_FALSE(none.ok());
  EXPECT_EQ(none.error().at, 3U);
  EXPECT_EQ(none.error().repair, "7");
}

TEST(Result, GivesItsValueAwayOnce) {
  Result<std::unique_ptr<int>> made = std::make_unique<int>(5);
  const std::unique_ptr<int> taken = std::move(made).value();
  EXPECT_EQ(*taken, 5);
}

TEST(Result, OfVoidIsGoodUntilAnErrorSaysOtherwise) {
  EXPECT_TRUE(even(4).ok());
  EXPECT_TRUE(even(4));
  const Result<void> bad = even(3);
  ASSERT_FALSE(bad);
  EXPECT_EQ(bad.error().kind, ErrorKind::range);
  EXPECT_EQ(bad.error().what, "3 is odd");
  EXPECT_EQ(bad.error().repair, "4");
}

TEST(Result, NeverTurnsIntoABoolByItself) {
  EXPECT_FALSE((std::is_convertible_v<Result<void>, bool>));
  EXPECT_FALSE((std::is_convertible_v<Result<int>, bool>));
}

TEST(Result, AStopIsTheOnlyErrorOfItsKind) {
  const Result<int> halted = stopped();
  EXPECT_EQ(halted.error().kind, ErrorKind::stopped);
  EXPECT_FALSE(halted.error().what.empty());
  EXPECT_NE(Error{}.kind, ErrorKind::stopped);
}

}  // namespace
}  // namespace fretloom
