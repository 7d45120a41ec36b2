#pragma once
// What it costs a hand to hold a note and to go on to the next, in millimetres.

#include <vector>

#include "lick/expand.h"

namespace fretloom {

/// Costs in mm of travel, except where a factor is meant. Judged by ear and hand: common practice, no source.
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

/// A finger in a hand position h, which puts one finger a fret: index at fret h, middle h + 1, ring h + 2,
/// little finger h + 3. The index may also reach one fret lower, the others one fret higher (a stretch).
struct Hold {
  int finger = 1;    ///< 1 = index to 4 = little finger; 0 = open string
  int position = 1;  ///< counted from the capo; may be below 1
};

class FingerCostModel {
 public:
  /// Keeps references to all three.
  FingerCostModel(const Neck& neck, const std::vector<LickNote>& notes, const FingerCosts& costs);

  /// Cost of a hold by itself; infinite if the finger does not reach.
  [[nodiscard]] double alone(std::size_t note, const Hold& hold) const;
  /// Cost of going from one fretted note to the next (open notes between them are passed over).
  [[nodiscard]] double between(std::size_t from, const Hold& a, std::size_t to, const Hold& b) const;
  /// Cost of a whole path, one hold a note.
  [[nodiscard]] double path(const std::vector<Hold>& holds) const;

  /// From one fret's wire to another's, as Neck::span.
  [[nodiscard]] Millimetres span(int low, int high) const { return Millimetres(place(high) - place(low)); }
  /// Way of the hand along the neck.
  [[nodiscard]] Millimetres travel(int from, int to) const;

 private:
  [[nodiscard]] double compute_place(int fret) const;
  [[nodiscard]] double place(int position) const;
  [[nodiscard]] double width(int fret) const { return place(fret) - place(fret - 1); }

  const Neck& neck_;
  const std::vector<LickNote>& notes_;
  const FingerCosts& costs_;
  std::vector<double> places_;  ///< distance from the nut of each fret and hand position, from the lowest
};

}  // namespace fretloom
