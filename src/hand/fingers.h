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
// A path through (finger, hand position), note by note, is found by Viterbi for rules 1, 2, 3 and 5 at
// once, and for ties whose finger is set. Ties whose finger is open are shared by notes far apart: their fingers are
// found by branch and bound with Viterbi as the bound. The whole is least by the five rules in their
// order, and equals brute force, unless more than k_finger_searches paths would have to be looked for; then
// it is the best of those, greedy in the open ties alone. Open strings take finger 0 and leave the
// hand where it is.

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
  int searches = 0;                ///< paths looked for; above k_finger_searches the ties may not be the least
};

/// Error (kind range): a pin that contradicts its note: no finger from 1 to 4 on a fretted note, or a
/// finger on an open string; Error.at is the index into `pins`.
[[nodiscard]] Result<Fingering> assign_fingers(const CarriedLayout& layout, const std::vector<LickNote>& notes,
                                               const std::vector<PinnedFinger>& pins = {},
                                               const FingerCosts& costs = {});

/// Fingers of an ending's fill and landing by the same rules. The hand goes on from where the body, whose fingering
/// starts with `body`, leaves it; the body's fingers stay, and those of its last visit count as pins of
/// that visit. A landing outside its string's row goes by cost.
[[nodiscard]] std::vector<int> finger_ending(const CarriedLayout& layout, const Ending& ending, const Fingering& body,
                                             const FingerCosts& costs = {});

}  // namespace fretloom
