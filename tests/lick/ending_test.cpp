// Fill notes where the layout of the last repetition reaches over the neck's end.

#include "lick/ending.h"

#include <gtest/gtest.h>

namespace fretloom {
namespace {

/// The fill at four a beat to a strong beat, of a cell carried a scale step up on the B string.
std::string fill_of(const LayoutRule& layout, const std::string& cell) {
  const Key key = *parse_key("E dorian");
  const Neck neck{*parse_tuning("standard"), 24, Millimetres(648), 0};
  const Ground ground{key, neck, *make_layout(key, neck, layout)};
  Lick lick;
  lick.rule = *parse_rule(RuleKind::cell, cell);
  lick.carry = {0, 1};
  lick.start_string = 2;
  std::vector<Remark> remarks;
  const auto phrase = expand(ground, lick, remarks);
  if (!phrase) return "no phrase";
  const EndingRequest request{Rational(0), 4, *parse_meter("4/4"), EndingOn::strong, std::nullopt};
  const auto shapes = propose_endings(ground, lick, *phrase, request);
  return shapes.empty() || shapes.front().kind != EndingKind::fill ? "no fill" : to_text(shapes.front().fill);
}

// The G string's twin of every note above fret 20 on the B string lies above fret 24.
TEST(Fill, TakesTheTwinThatLiesOnTheNeck) {
  EXPECT_EQ(fill_of({.kind = LayoutKind::position, .width = 6, .from = 7}, "3 2 1").substr(0, 8), "2: 22 24");
}

TEST(Fill, TurnsAtTheLastFretBackOverTheSameString) {
  EXPECT_EQ(fill_of({.kind = LayoutKind::position, .width = 5, .from = 12}, "2 1").substr(0, 8), "2: 24 22");
}

}  // namespace
}  // namespace fretloom
