// What endings are proposed, before they are ranked.

#include "lick/ending.h"

#include <gtest/gtest.h>

#include <string>
#include <vector>

namespace fretloom {
namespace {

/// A lick in E dorian on a standard neck.
struct Scene {
  Ground ground;
  Lick lick;
  Phrase phrase;

  Scene(const LayoutRule& layout, const std::string& cell, Carry carry, int start_string, std::optional<int> repeats)
      : ground{*parse_key("E dorian"), {*parse_tuning("standard"), 24, Millimetres(648), 0}, {}} {
    ground.layout = *make_layout(ground.key, ground.neck, layout);
    lick.rule = *parse_rule(RuleKind::cell, cell);
    lick.carry = carry;
    lick.start_string = start_string;
    lick.repeats = repeats;
    std::vector<Remark> remarks;
    phrase = expand(ground, lick, remarks).value_or(Phrase{});
  }

  [[nodiscard]] std::vector<EndingShape> shapes(EndingRequest request = {}) const {
    request.meter = *parse_meter("4/4");
    return propose_endings(ground, lick, phrase, request);
  }
  /// The fill to the strong beat, four a beat from bar 1.
  [[nodiscard]] std::string fill() const {
    const auto all = shapes();
    return all.empty() || all.front().kind != EndingKind::fill ? "no fill" : to_text(all.front().fill);
  }
};

constexpr Carry k_steps_up = {0, 1};
constexpr Carry k_strings_up = {1, 0};
const LayoutRule k_twelve{.from = 12};

// The G string's twin of every note above fret 20 on the B string lies above fret 24.
TEST(Fill, TakesTheTwinThatLiesOnTheNeck) {
  const Scene scene({.kind = LayoutKind::position, .width = 6, .from = 7}, "3 2 1", k_steps_up, 2, std::nullopt);
  EXPECT_EQ(scene.fill().substr(0, 8), "2: 22 24");
}

// The last layout's B string has frets 22 24 26: its C# lies off the neck, the D above it does not.
TEST(Fill, StepsOverNotesOffTheNeck) {
  const Scene scene({.kind = LayoutKind::position, .width = 5, .from = 12}, "2 1", k_steps_up, 2, std::nullopt);
  EXPECT_EQ(scene.fill().substr(0, 12), "2: 24 | 1: 2");
}

// String 6 fret 17 is the A of string 5 fret 12, so the layout goes on with B.
TEST(Fill, GoesOnWithTheLayoutsNextPitchAfterANoteOutsideIt) {
  EXPECT_EQ(Scene(k_twelve, "1 4", k_strings_up, 6, 1).fill(), "5: 14 16 | 4: 12 14 16 | 3: 12");
}

// C# on fret 21 lies above the layout, whose highest note is A on fret 17.
TEST(Fill, ComesBackIntoTheLayoutFromAboveItsEnd) {
  EXPECT_EQ(Scene(k_twelve, "1 5", k_strings_up, 1, 1).fill(), "1: 17 15 14 | 2: 17 15 14");
}

/// "fill 8, late 4": kind and landing slot.
std::string listed(const std::vector<EndingShape>& shapes) {
  std::string text;
  for (const EndingShape& shape : shapes)
    text += (text.empty() ? "" : ", ") + std::string(name(shape.kind)) + " " + std::to_string(shape.slot);
  return text;
}

TEST(Shapes, TheNextBeatIsOfferedOnlyWhereNothingWasAskedFor) {
  const Scene scene(k_twelve, "1 2 3 2 3 2 3 2 1", k_strings_up, 6, 1);  // nine units
  EndingRequest request;
  EXPECT_EQ(listed(scene.shapes(request)), "fill 16, hold 16, late 16, fill 12, hold 12, late 12, trim 8");
  request.on = EndingOn::strong;
  EXPECT_EQ(listed(scene.shapes(request)), "fill 16, hold 16, late 16, trim 8");
  request.on = EndingOn::beat;
  EXPECT_EQ(listed(scene.shapes(request)), "fill 12, hold 12, late 12, trim 8");
  request.on = EndingOn::bar;
  EXPECT_EQ(listed(scene.shapes(request)), "fill 16, hold 16, late 16");
}

TEST(Shapes, NothingLandsBeforeBarOne) {
  const Scene scene(k_twelve, "1 2 3 2 1", k_strings_up, 6, 1);
  EndingRequest request;
  request.start_beat = Rational(-3);
  EXPECT_EQ(listed(scene.shapes(request)), "fill 0, hold 0, late 0");
  request.start_beat = Rational(-5, 4);
  EXPECT_EQ(listed(scene.shapes(request)), "fill 0");
}

TEST(Shapes, ATrimKeepsHalfOfTheGroup) {
  const auto has_trim = [](const std::string& cell, const Rational& start) {
    EndingRequest request;
    request.start_beat = start;
    return Scene(k_twelve, cell, k_strings_up, 6, 1).shapes(request).back().kind == EndingKind::trim;
  };
  EXPECT_TRUE(has_trim("1 2 3 2 3 2 1", Rational(1)));      // slot 8 lies behind four of seven notes,
  EXPECT_FALSE(has_trim("1 2 3 2 3 2 1", Rational(5, 4)));  // three of seven,
  EXPECT_TRUE(has_trim("1 2 3 2 3 2", Rational(5, 4)));     // three of six
  // A note that sounds across the cut is cut short.
  const auto held = Scene(k_twelve, "1 2x9 1", k_strings_up, 6, 1).shapes();
  EXPECT_EQ(listed({held.back()}), "trim 8");
  EXPECT_EQ(held.back().body.back().units, 7);
  EXPECT_EQ(held.back().units_changed, 3);
}

TEST(Shapes, AHeldNoteLastsOverFinalRests) {
  const auto all = Scene(k_twelve, "1 2 r r", k_strings_up, 6, 1).shapes();
  ASSERT_EQ(listed(all), "fill 8, hold 8, late 8");
  EXPECT_EQ(all[1].body.back().units, 7);
  EXPECT_EQ(all[2].start_slot, 4);
}

TEST(Shapes, AnAskedDegreeIsTakenNearOrElseOnBothSides) {
  const Scene scene(k_twelve, "1", k_strings_up, 6, 1);  // E
  const auto pitches = [&](const std::string& degree) {
    EndingRequest request;
    request.notes_per_beat = 1;
    request.on = EndingOn::beat;
    request.degree = parse_degree(degree);
    std::vector<std::string> names;
    const std::vector<EndingShape> shapes = scene.shapes(request);
    for (const LandingCandidate& c : shapes.front().landings) {
      const std::string one = c.note.pitch.name() + " " + std::to_string(c.steps);
      if (names.empty() || names.back() != one) names.push_back(one);
    }
    return names;
  };
  using Names = std::vector<std::string>;
  EXPECT_EQ(pitches("1"), (Names{"E3 0"}));
  EXPECT_EQ(pitches("2"), (Names{"F#3 1"}));
  EXPECT_EQ(pitches("b2"), (Names{"F3 1"}));
  EXPECT_EQ(pitches("3"), (Names{"G#2 5", "G#3 3"}));  // between G, two steps up, and A
  EXPECT_EQ(pitches("5"), (Names{"B2 3", "B3 4"}));
}

}  // namespace
}  // namespace fretloom
