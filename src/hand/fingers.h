#pragma once
// The fretting hand: which finger plays which note.
//
// A hand position h puts one finger a fret: index at fret h, middle h + 1, ring h + 2, little finger
// h + 3. The index may also reach one fret lower, the others one fret higher (a stretch). The path
// through (finger, h) with the least cost in millimetres is found by Viterbi; it equals brute force.
// Open strings take finger 0 and leave the hand where it is.

#include <optional>
#include <string>
#include <vector>

#include "lick/expand.h"

namespace fretloom {

/// Costs in mm of travel, except where a factor is meant. Judged by ear and hand: common practice, no
/// source; the three-note shapes whole+whole 1-2-4 or 1-3-4, half+whole 1-2-4, whole+half 1-3-4 follow.
struct FingerCosts {
  double shift = 20;     ///< each shift, besides its way along the neck
  double stretch = 0.5;  ///< times the width of the stretched fret
  double order = 60;     ///< a higher fret for a lower finger on one string without a shift
  double swap = 40;      ///< another finger on the fret that just sounded
  double roll = 8;       ///< one finger on two strings in a row, same fret
  double jump = 25;      ///< one finger on two strings in a row, other fret, no shift
  double little_finger = 2;
  double ring_finger = 1;
  double off_neck = 30;  ///< each fret that the hand position lies below fret 1
};

/// A finger that a note must take. `note` is an index into the notes.
struct PinnedFinger {
  std::size_t note = 0;
  int finger = 1;
};

struct Fingering {
  std::vector<int> fingers;    ///< one a note, 0 = open string
  std::vector<int> positions;  ///< hand position of each note, counted from the capo; may be below 1
  double cost = 0;             ///< mm
  int shifts = 0;
  Millimetres travel;              ///< way of all shifts
  Millimetres reach;               ///< widest span between two notes played in one hand position
  std::vector<std::size_t> rolls;  ///< notes played with the finger that just played another string on the same fret
};

/// Error (kind range): a pin that contradicts its note: no finger from 1 to 4 on a fretted note, or a
/// finger on an open string; Error.at is the index into `pins`.
[[nodiscard]] Result<Fingering> assign_fingers(const Neck& neck, const std::vector<LickNote>& notes,
                                               const std::vector<PinnedFinger>& pins = {},
                                               const FingerCosts& costs = {});

/// Cost of a given path, for checks: fingers and positions as in Fingering, one a note. Infinite where
/// a finger cannot reach its note from the position.
[[nodiscard]] double fingering_cost(const Neck& neck, const std::vector<LickNote>& notes,
                                    const std::vector<int>& fingers, const std::vector<int>& positions,
                                    const FingerCosts& costs = {});

}  // namespace fretloom
