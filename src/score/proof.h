#pragma once
// What is true of the string changes of a rule carried through, without any ending, and how it is mended.
// Computed in `hand`; the sentences are made from it in hand/proof.h and in `words`.

#include <optional>
#include <string>
#include <vector>

#include "score/stroke.h"

namespace fretloom {

/// Consecutive notes on one string, merged across repetitions and rests.
struct Visit {
  int string = 1;
  std::size_t first = 0;  ///< index of its first note
  int notes = 0;          ///< sounded
  int picked = 0;

  friend bool operator==(const Visit&, const Visit&) = default;
};

struct Proof {
  Picking picking = Picking::alternate;
  Clear clear = Clear::upstroke;
  std::vector<Visit> visits;
  std::vector<Change> changes;  ///< one between two visits

  // Parity, of alternate picking alone. Merge the visits p1..pm, counting picked notes: the stroke before change i
  // follows from p1 + ... + pi, so all changes follow the same stroke iff p2..p(m-1) are even; looped with two or
  // more visits, iff every visit of the cycle is even (the last and the first are one visit on one string).

  /// Whether all changes of the looped phrase follow the same stroke; nothing under grid and economy picking.
  std::optional<bool> looped;
  /// after_note of the first change that follows another stroke than the first change; nothing where all follow
  /// the same one, and under grid and economy picking.
  std::optional<int> counter_example;
  /// Index of the first odd visit between the first and the last; set with counter_example.
  std::optional<std::size_t> odd_visit;

  [[nodiscard]] int blocked() const { return count_blocked(changes); }
  /// The last visit and the first lie on one string, so that they are one visit of the cycle.
  [[nodiscard]] bool joins() const { return visits.size() > 1 && visits.front().string == visits.back().string; }

  friend bool operator==(const Proof&, const Proof&) = default;
};

/// The least repair of blocked changes: slurs added to the rule's tokens, over both first strokes.
struct Repair {
  bool possible = false;
  std::string reason;  ///< why there is none; empty if possible
  Stroke first_stroke = Stroke::down;
  std::string rule;                 ///< the repaired rule, text as typed with h and p added
  int slurs = 0;                    ///< slurs added
  std::vector<std::string> ties;    ///< other rules with as few, slurs earliest first; at most 256
  std::optional<int> note_by_note;  ///< the least slurs if each note of the phrase could be slurred by itself

  friend bool operator==(const Repair&, const Repair&) = default;
};

}  // namespace fretloom
