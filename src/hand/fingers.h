#pragma once
// The fretting hand: which finger plays which note.
//
// The rules (finger_rules.h) are asked in this order, each where no stronger one contradicts it:
//
//   1  pins          always hold
//   2  slurs         fewest slides that change finger, hammer-ons and pull-offs that keep it
//   3  shapes        fewest notes off the finger that table, row or pin set for their fret
//   4  ties          fewest notes off their tie's finger
//   5  cost          least millimetres (finger_cost.h)
//
// A path through (finger, hand position) that is least by rules 1, 2, 3 and 5, and by the ties whose finger
// the shapes set, is found by Viterbi. The other ties join notes that lie far apart: their fingers are found
// by branch and bound, with Viterbi as the bound. So the whole is least by the five rules in their order, as
// brute force finds it. Only if that takes k_finger_searches paths or more, the best found by then is
// given: all but the fingers of the open ties is still least, and those are no worse than a greedy choice.
// A broken rule counts as so many mm, which keeps the order strict in phrases up to 1000 notes.
//
// Open strings take finger 0 and leave the hand where it is.

#include <vector>

#include "hand/ending.h"
#include "hand/finger_cost.h"
#include "hand/finger_rules.h"

namespace fretloom {

constexpr int k_finger_searches = 200;

struct Fingering {
  std::vector<int> fingers;    ///< one a note, 0 = open string
  std::vector<int> positions;  ///< hand position of each note, counted from the capo; may be below 1
  double cost = 0;             ///< mm
  int shifts = 0;
  Millimetres travel;              ///< way of all shifts
  Millimetres reach;               ///< widest span between two notes played in one hand position
  std::vector<std::size_t> rolls;  ///< notes played with the finger that just played another string on the same fret
  int searches = 0;                ///< paths looked for; from k_finger_searches on the open ties may not be the least
};

/// Error (kind range): a pin that contradicts its note: no finger from 1 to 4 on a fretted note, or a
/// finger on an open string; Error.at is the index into `pins`.
[[nodiscard]] Result<Fingering> assign_fingers(const CarriedLayout& layout, const std::vector<LickNote>& notes,
                                               const std::vector<PinnedFinger>& pins = {},
                                               const FingerCosts& costs = {});

/// Fingers of an ending's fill and landing by the same rules. The hand goes on from where the body leaves it;
/// `body` is the fingering of the phrase that ending.body is the beginning of. The body's fingers stay, and those of
/// its last visit count as pins there. A landing outside its string's row goes by cost.
[[nodiscard]] std::vector<int> finger_ending(const CarriedLayout& layout, const EndingOption& ending,
                                             const Fingering& body, const FingerCosts& costs = {});

}  // namespace fretloom
