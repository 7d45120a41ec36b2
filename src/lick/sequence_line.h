#pragma once
// The base layout as one ascending line: what a sequence's steps count.

#include <cstddef>
#include <optional>
#include <vector>

#include "lick/expand.h"

namespace fretloom {

struct LinePlace {
  int midi = 0;
  int string = 1;
  int ordinal = 1;
};

/// Every note of the layout in ascending pitch, unisons once, on the thicker string. Step 1 is the lick's start note.
class SequenceLine {
 public:
  /// Preconditions: the lick's start string and ordinal are in the layout.
  SequenceLine(const Ground& ground, const Lick& lick);

  [[nodiscard]] std::size_t size() const { return line_.size(); }
  /// The place of a step, which may be 0 or negative; nullptr where it runs off the layout.
  [[nodiscard]] const LinePlace* at(int step) const;
  /// The step that sounds as a place does; nothing where the layout has no such note.
  [[nodiscard]] std::optional<int> step_of(const Ground& ground, int string, int ordinal) const;

 private:
  std::vector<LinePlace> line_;
  int start_ = 0;
};

}  // namespace fretloom
