#pragma once
// How a phrase may land: the shapes an ending can take, and the notes it can land on.
//
// Slots count units from bar 1 beat 1, k to a beat, pick-ups negative:
//
//   slot   0 ........ 29 | 30 31 | 32        four a beat, 30 units from slot 0
//          the phrase      gap     landing   32 is bar 3 beat 1
//
// A landing slot is the next beat, strong beat or bar start at or after the phrase's end, never below 0. The layout
// meant below is the last repetition's: moved by its steps on the way out, the base layout after a return and in
// sequences.

#include <optional>
#include <vector>

#include "lick/expand.h"
#include "score/ending.h"
#include "score/meter.h"

namespace fretloom {

/// Which beats may be landed on.
enum class EndingOn { beat, strong, bar };

/// How far outside its string's row in the layout a landing note may lie, in frets, before any that does not is
/// preferred.
constexpr int k_landing_reach = 2;

struct EndingRequest {
  Rational start_beat;  ///< of the phrase's first unit; times notes_per_beat it is whole
  int notes_per_beat = 4;
  Meter meter;
  /// Nothing = strong beats, and also the next beat where the gap before the strong one is longer than a beat.
  std::optional<EndingOn> on;
  std::optional<Degree> degree;  ///< a wanted degree of the key, in its scale or not
};

/// A note that the phrase could land on, at one place of the neck.
struct LandingCandidate {
  LickNote note;               ///< its ordinal is 0 where it is no scale note
  int steps = 1;               ///< scale steps from the last note before it; a note between steps counts as the farther
  bool same_direction = true;  ///< as the line moves at its end; a repeated note does not
  Millimetres move;            ///< along the string from the last note's fret
  bool in_layout = false;
  bool near_row = false;  ///< at most k_landing_reach frets outside its own string's row; an empty row has no near fret
  bool only_root = false;  ///< the last note again: a candidate only where it is the root of the chord that sounds
};

/// One way to end.
struct EndingShape {
  EndingKind kind = EndingKind::fill;
  int start_slot = 0;                      ///< of the phrase's first unit
  int slot = 0;                            ///< of the landing
  int units_changed = 0;                   ///< the gap before the landing; of a trim the units that are cut
  std::vector<LickNote> body;              ///< the phrase's notes as this ending leaves them (trimmed, held)
  std::vector<LickNote> fill;              ///< along the layout and never outside it
  bool long_fill = false;                  ///< more fill notes than the rule has notes, and than a beat has
  std::vector<LandingCandidate> landings;  ///< unranked, at least one
};

/// For each landing slot a fill and, where there is a gap, a held note and a late start; at last a trimmed repetition.
/// Where the phrase ends on a landing slot by itself, only a fill without notes. A shape that finds no note to fill
/// with or to land on is left out. A trim keeps at least half of the last repetition's sounded notes. A landing's and
/// fill's `repeat` is the last repetition's, its `unit` counts from the phrase's first unit; a landing lasts one beat.
[[nodiscard]] std::vector<EndingShape> propose_endings(const Ground& ground, const Lick& lick, const Phrase& phrase,
                                                       const EndingRequest& request);

}  // namespace fretloom
