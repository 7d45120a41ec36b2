#pragma once
// What a change of a rule does to the numbers by which single notes of its repetitions are called.

#include <optional>
#include <vector>

#include "lick/reshape.h"

namespace fretloom {

/// A note by repetition (1..R out, R+1..2R back) and by its place among the sounded notes of that repetition, from 1.
struct NoteNumber {
  int repeat = 1;
  int note = 1;

  friend bool operator==(const NoteNumber&, const NoteNumber&) = default;
};

class Renumbering {
 public:
  /// `after` is `before` with `change` made; the repetitions are those on the way out, before and after.
  Renumbering(const Lick& before, int repeats_before, const Lick& after, int repeats_after, const RuleChange& change);

  /// The same note's number now; nothing where it is gone, or never was.
  [[nodiscard]] std::optional<NoteNumber> now(const NoteNumber& note) const;
  /// The same for a note of every repetition.
  [[nodiscard]] std::optional<int> now(int note) const;

 private:
  std::vector<std::optional<int>> notes_;  ///< by old number less 1
  int group_after_ = 0;
  int repeats_before_ = 0;
  int repeats_after_ = 0;
  Back back_ = Back::none;
};

}  // namespace fretloom
