// The fretting hand against brute force.

#include "hand/fingers.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

namespace fretloom {
namespace {

Neck standard() { return {*parse_tuning("standard"), 24, Millimetres(648), 0}; }

LickNote at(int string, int fret) {
  LickNote note;
  note.string = string;
  note.fret = fret;
  return note;
}

/// Looks at every path of fingers 1 to 4 and hand positions for one that costs less than `bound`.
/// Costs are never negative, so a path is left as soon as its beginning costs that much.
class BruteForce {
 public:
  BruteForce(const Neck& neck, const std::vector<LickNote>& notes, const std::vector<PinnedFinger>& pins, double bound)
      : neck_(neck), notes_(notes), pins_(pins), best_(bound) {
    search();
  }
  /// The least cost found, or the bound.
  [[nodiscard]] double best() const { return best_; }

 private:
  void search() {
    if (taken_.size() == notes_.size()) {
      best_ = std::min(best_, fingering_cost(neck_, taken_, fingers_, positions_));
      return;
    }
    const std::size_t i = taken_.size();
    taken_.push_back(notes_[i]);
    if (notes_[i].fret == 0) {
      step(0, 1);
    } else {
      for (int finger = 1; finger <= 4; ++finger) {
        const bool other = std::any_of(pins_.begin(), pins_.end(),
                                       [&](const PinnedFinger& pin) { return pin.note == i && pin.finger != finger; });
        for (int position = notes_[i].fret - 5; !other && position <= notes_[i].fret + 2; ++position)
          step(finger, position);
      }
    }
    taken_.pop_back();
  }

  void step(int finger, int position) {
    fingers_.push_back(finger);
    positions_.push_back(position);
    if (fingering_cost(neck_, taken_, fingers_, positions_) < best_) search();
    fingers_.pop_back();
    positions_.pop_back();
  }

  const Neck& neck_;
  const std::vector<LickNote>& notes_;
  const std::vector<PinnedFinger>& pins_;
  double best_;
  std::vector<LickNote> taken_;
  std::vector<int> fingers_;
  std::vector<int> positions_;
};

std::vector<LickNote> random_phrase(int length) {
  std::vector<LickNote> notes;
  int fret = *rc::gen::inRange(1, 18);
  int string = *rc::gen::inRange(1, 7);
  for (int i = 0; i < length; ++i) {
    const bool open = *rc::gen::inRange(0, 8) == 0;
    notes.push_back(at(string, open ? 0 : fret));
    fret = std::clamp(fret + *rc::gen::inRange(-4, 5), 1, 22);
    string = std::clamp(string + *rc::gen::inRange(-1, 2), 1, 6);
  }
  return notes;
}

void expect_least(const Neck& neck, const std::vector<LickNote>& notes, const std::vector<PinnedFinger>& pins) {
  const auto ours = assign_fingers(neck, notes, pins);
  RC_ASSERT(ours.ok());
  RC_ASSERT(std::isfinite(ours->cost));
  RC_ASSERT(std::abs(ours->cost - fingering_cost(neck, notes, ours->fingers, ours->positions)) < 1e-9);
  // A bound a little above ours: brute force must come down to our cost, and no lower.
  const double least = BruteForce(neck, notes, pins, ours->cost + 0.001).best();
  RC_ASSERT(std::abs(least - ours->cost) < 1e-6);
  for (std::size_t i = 0; i < notes.size(); ++i) RC_ASSERT((ours->fingers[i] == 0) == (notes[i].fret == 0));
  for (const PinnedFinger& pin : pins) RC_ASSERT(ours->fingers[pin.note] == pin.finger);
}

RC_GTEST_PROP(Fingers, EqualBruteForce, ()) {
  Neck neck = standard();
  neck.capo = *rc::gen::element(0, 0, 2);
  const std::vector<LickNote> notes =
      random_phrase(*rc::gen::weightedElement<int>({{1, 1}, {2, 3}, {3, 5}, {2, 7}, {2, 8}}));
  RC_CLASSIFY(notes.size() == 8, "eight notes");
  expect_least(neck, notes, {});
}

RC_GTEST_PROP(Fingers, EqualBruteForceWithPins, ()) {
  const std::vector<LickNote> notes = random_phrase(*rc::gen::inRange(1, 7));
  std::vector<PinnedFinger> pins;
  for (std::size_t i = 0; i < notes.size(); ++i) {
    if (*rc::gen::inRange(0, 3) != 0) continue;
    pins.push_back({i, notes[i].fret == 0 ? 0 : *rc::gen::inRange(1, 5)});
  }
  RC_CLASSIFY(!pins.empty(), "pinned");
  expect_least(standard(), notes, pins);
}

std::string fingers_of(const std::vector<LickNote>& notes) {
  std::string text;
  const auto found = assign_fingers(standard(), notes);
  for (const int finger : found->fingers) text += std::to_string(finger);
  return text;
}

TEST(Fingers, ThreeNoteShapes) {
  // Common practice, no source.
  for (int fret = 1; fret <= 18; ++fret) {
    const std::string wholes = fingers_of({at(4, fret), at(4, fret + 2), at(4, fret + 4)});
    EXPECT_TRUE(wholes == "124" || wholes == "134") << fret << ": " << wholes;
    EXPECT_EQ(fingers_of({at(4, fret), at(4, fret + 1), at(4, fret + 3)}), "124") << fret;
    EXPECT_EQ(fingers_of({at(4, fret), at(4, fret + 2), at(4, fret + 3)}), "134") << fret;
  }
}

TEST(Fingers, OneFingerAFretNeedsNoShift) {
  const auto found = assign_fingers(standard(), {at(6, 5), at(6, 6), at(6, 7), at(6, 8), at(5, 5), at(5, 8)});
  ASSERT_TRUE(found.ok());
  EXPECT_EQ(found->fingers, (std::vector<int>{1, 2, 3, 4, 1, 4}));
  EXPECT_EQ(found->shifts, 0);
  EXPECT_NEAR(found->reach.value, standard().span(5, 8).value, 1e-9);
}

TEST(Fingers, OpenStringsTakeNone) {
  const auto found = assign_fingers(standard(), {at(1, 0), at(1, 3), at(2, 0)});
  ASSERT_TRUE(found.ok());
  EXPECT_EQ(found->fingers.front(), 0);
  EXPECT_NE(found->fingers[1], 0);
  EXPECT_EQ(found->fingers.back(), 0);
  EXPECT_TRUE(assign_fingers(standard(), {}).ok());
  EXPECT_EQ(assign_fingers(standard(), {at(1, 0)})->cost, 0);
}

TEST(Fingers, RollsAreNamed) {
  const auto found = assign_fingers(standard(), {at(3, 5), at(2, 5)}, {{0, 1}, {1, 1}});
  ASSERT_TRUE(found.ok());
  EXPECT_EQ(found->rolls, std::vector<std::size_t>{1});
}

TEST(Fingers, ContradictingPinsAreNamed) {
  const std::vector<LickNote> notes = {at(1, 0), at(1, 3)};
  struct Row {
    std::vector<PinnedFinger> pins;
    std::size_t at;
    const char* part;
  };
  const std::vector<Row> rows = {
      {{{1, 2}, {0, 2}}, 1, "open string"},
      {{{1, 0}}, 0, "fret 3 needs a finger"},
      {{{1, 5}}, 0, "1 to 4"},
      {{{1, -1}}, 0, "1 to 4"},
  };
  for (const Row& row : rows) {
    const auto found = assign_fingers(standard(), notes, row.pins);
    ASSERT_FALSE(found.ok()) << row.part;
    EXPECT_EQ(found.error().kind, ErrorKind::range);
    EXPECT_EQ(found.error().at, row.at);
    EXPECT_NE(found.error().what.find(row.part), std::string::npos) << found.error().what;
    std::vector<PinnedFinger> mended = row.pins;
    mended[row.at].finger = std::stoi(found.error().repair);
    EXPECT_TRUE(assign_fingers(standard(), notes, mended).ok());
  }
}

}  // namespace
}  // namespace fretloom
