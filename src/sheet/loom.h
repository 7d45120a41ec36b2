#pragma once
// A feel as a loom: the strings are the warp, the lick is the thread. What stands where, in units of the feel and
// without any measure of a page; loom_drawing.h draws it.
//
// Slots count units from bar 1 beat 1, as in score/ending.h, and are exact: a note's slot is its onset times the notes
// per beat.

#include <cstddef>
#include <string>
#include <vector>

#include "score/handout.h"

namespace fretloom::sheet {

/// A string. `low` and `high` are the lowest and highest ordinals that its knots may stand at: those of its layout row
/// and of its notes outside it.
struct LoomLane {
  int string = 1;
  bool touched = false;  ///< by a note of the feel
  double low = 1;
  double high = 1;

  friend bool operator==(const LoomLane&, const LoomLane&) = default;
};

/// By the note's stroke; slurred: it has none.
enum class KnotKind { down, up, slurred };

/// A note: one for each of the score's, in their order.
struct LoomKnot {
  Rational slot;
  Rational units;  ///< how long it sounds
  int string = 1;
  double place = 1;  ///< its ordinal; halfway between two for a note that is none of the scale's
  int fret = 0;
  KnotKind kind = KnotKind::down;
  bool accent = false;
  Role role = Role::rule;

  friend bool operator==(const LoomKnot&, const LoomKnot&) = default;
};

/// How the thread goes on from a knot to the next: solid after a downstroke, dotted after an upstroke (a slurred note
/// keeps the stroke before it), as an arc where the next note is slurred, and not at all over a rest.
enum class ThreadKind { none, solid, dotted, arc };

/// A string change: between knots `after - 1` and `after`.
struct LoomGate {
  std::size_t after = 1;  ///< sounded notes before it
  bool free = false;

  friend bool operator==(const LoomGate&, const LoomGate&) = default;
};

/// A gap between two notes, before the first or after the last: nothing sounds.
struct LoomRest {
  Rational slot;
  Rational units;

  friend bool operator==(const LoomRest&, const LoomRest&) = default;
};

enum class BandKind { rule, again, back, ending };

/// A repetition or the ending, from its first slot to the slot after its last.
struct LoomBand {
  BandKind kind = BandKind::rule;
  int repeat = 1;  ///< 1 to R out, R+1 to 2R back; the last one's for the ending
  Rational from;
  Rational to;
  std::size_t first = 0;  ///< its first knot

  friend bool operator==(const LoomBand&, const LoomBand&) = default;
};

/// A beat within the drawing.
struct LoomBeat {
  Rational slot;
  bool bar = false;   ///< a bar starts here
  std::string chord;  ///< new here: "Em7"; empty where the chord goes on

  friend bool operator==(const LoomBeat&, const LoomBeat&) = default;
};

/// What stands beside each other: slots [from, to).
struct LoomRow {
  Rational from;
  Rational to;
  std::string chord;  ///< that sounds at its start, also where it began before

  friend bool operator==(const LoomRow&, const LoomRow&) = default;
};

struct Loom {
  std::vector<LoomLane> lanes;  ///< thinnest string first
  std::vector<LoomKnot> knots;
  std::vector<ThreadKind> threads;  ///< one after each knot; none after the last
  std::vector<LoomGate> gates;      ///< of the rule's own changes that the feel plays, then the ending's
  std::vector<LoomRest> rests;
  std::vector<LoomBand> bands;  ///< in order of time, side by side
  std::vector<LoomBeat> beats;
  std::vector<LoomRow> rows;
};

/// The loom of an idea at one of its feels, in rows of at most `most_units`. Rows break between repetitions, as even
/// as that allows; within a repetition only where it is longer than a row: at a beat, else at a note. An idea that
/// starts late begins with its bar. Preconditions: fault_of(idea, score) finds nothing, the score has notes,
/// most_units >= 1.
[[nodiscard]] Loom lay_loom(const IdeaSheet& idea, const Score& score, int most_units);

/// The idea's strings and beats without any note: `units` of them, all in the rule's band. Preconditions as above.
[[nodiscard]] Loom blank_loom(const IdeaSheet& idea, const Score& score, int units);

/// One line a lane, knot, gate, rest, band, beat and row, for tests and people.
[[nodiscard]] std::string to_text(const Loom& loom);

}  // namespace fretloom::sheet
