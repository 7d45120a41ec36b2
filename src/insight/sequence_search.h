#pragma once
// Sequences on the lines of all layouts.

#include <vector>

#include "insight/cycle.h"
#include "insight/layouts.h"
#include "insight/scale_view.h"
#include "insight/shortlist.h"

namespace fretloom {

/// A layout's notes in ascending pitch, unisons once, on the thicker string; and where the phrase's notes stand in it.
struct SequenceLine {
  struct Note {
    int number = 0;  ///< in the scale
    int index = 0;   ///< thickest string 0
    int ordinal = 0;
  };
  const LayoutFamily* family = nullptr;
  const LayoutChoice* choice = nullptr;
  std::vector<Note> notes;
  std::vector<int> places;  ///< by spot the index into `notes`, k_nowhere where it is not there or on another string
  std::size_t kind = 0;     ///< layouts that put the phrase's notes at the same distances are of one, counted from 0

  static constexpr int k_nowhere = -10'000;
};

/// The lines that have most of the phrase's notes, cheapest layout first. The shapes stay the caller's.
[[nodiscard]] std::vector<SequenceLine> sequence_lines(const ScaleView& view, const std::vector<LayoutShape>& shapes);

/// Tells the phrase by the sequence that the repetitions of a cycle vote for, on every line where that is short enough.
void search_sequences(const ScaleView& view, const std::vector<SequenceLine>& lines, const Cycle& cycle,
                      Shortlist& shortlist);

}  // namespace fretloom
