#pragma once
// What the rules of fingering ask of each note, before any cost is counted.
//
//   frets   6: 12 14 15 | 5: 12 s14 12     E dorian from fret 12
//   shape       1  3  4 |     1   2  1     the table's; the row's where a visit has two different frets
//   slur                |        keeps     so this 12 and 14 take one finger, be it 1 or 2
//   tie         a  b  c |     d   d  e     notes of one tie want one finger
//
// A shape is a visit's notes. Only a visit of more than three different frets whose repetitions lie on
// different layouts is taken layout by layout: there the hand moves along the string.

#include <array>
#include <optional>
#include <vector>

#include "lick/expand.h"

namespace fretloom {

/// The layout as it lies in each repetition of a phrase.
struct CarriedLayout {
  const Ground& ground;
  int repeats = 1;  ///< on the way out
  int steps = 0;    ///< scale steps from one repetition to the next; 0 in a sequence

  /// Steps that the layout of repetition `repeat` (from 1) is moved; a return comes back over the way out's.
  [[nodiscard]] int steps_in(int repeat) const {
    return steps * (repeat <= repeats ? repeat - 1 : 2 * repeats - repeat);
  }
  /// The string's frets, ascending; some may lie off the neck.
  [[nodiscard]] std::vector<int> row(int string, int repeat) const;
};
/// Keeps a reference to `ground`.
[[nodiscard]] CarriedLayout carried_layout(const Ground& ground, const Lick& lick, const Phrase& phrase);

/// A finger that a note must take. `note` is an index into the notes.
struct PinnedFinger {
  std::size_t note = 0;
  int finger = 1;
};

/// Fingers of three different frets of one string by their gaps in semitones. Common practice, no source.
struct HandShape {
  int low_gap = 1;
  int high_gap = 1;
  std::array<int, 3> fingers{};
};
constexpr std::array<HandShape, 8> k_hand_shapes = {{{1, 1, {1, 2, 3}},
                                                     {1, 2, {1, 2, 4}},
                                                     {2, 1, {1, 3, 4}},
                                                     {2, 2, {1, 2, 4}},
                                                     {1, 3, {1, 2, 4}},
                                                     {2, 3, {1, 2, 4}},
                                                     {3, 1, {1, 3, 4}},
                                                     {3, 2, {1, 3, 4}}}};

/// A note's finger against the finger of the note directly before it: a slide keeps it, a hammer-on and a
/// pull-off change it.
enum class SlurFinger { free, keeps, changes };

/// Stronger first; open notes have none of them.
struct NoteRule {
  std::optional<int> pin;
  SlurFinger slur = SlurFinger::free;
  /// Finger of the table or the row, 0 = none. A pin sets it for its fret in the whole shape.
  int shape = 0;
  /// Index into FingerRules::ties; nothing where the shape settles the finger, or no other note is tied.
  std::optional<std::size_t> tie;
};

struct FingerRules {
  std::vector<NoteRule> notes;
  /// The finger of each tie: what its shapes and pins set most often (of equals the lowest); 0 = open.
  std::vector<int> ties;
};

/// From index `body` on the notes are an ending's: they belong to no repetition, and a landing note outside
/// its string's row to no shape. Tied are the same frets of one shape, and the notes of all repetitions that
/// move alike (the same strings travelled, the same frets relative to each other, open strings and attacks
/// alike); notes that slides join are tied as one. Pins are taken as legal.
[[nodiscard]] FingerRules find_finger_rules(const CarriedLayout& layout, const std::vector<LickNote>& notes,
                                            std::size_t body, const std::vector<PinnedFinger>& pins);

}  // namespace fretloom
