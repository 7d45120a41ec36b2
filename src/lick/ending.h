#pragma once
// How a phrase may land: the shapes an ending can take, and the notes it can land on.
//
// Slots count units from bar 1 beat 1, k to a beat, pick-ups negative:
//
//   slot   0 ........ 29 | 30 31 | 32        four a beat, 30 units from slot 0
//          the phrase      fill    landing   32 is bar 3 beat 1
//
// The landing slot is the next beat, strong beat or bar start at or after the phrase's last unit.

#include <optional>
#include <vector>

#include "lick/expand.h"
#include "score/ending.h"
#include "score/meter.h"

namespace fretloom {

/// Which beats may be landed on.
enum class EndingOn { beat, strong, bar };

struct EndingRequest {
  Rational start_beat;  ///< of the phrase's first unit; times notes_per_beat it is whole
  int notes_per_beat = 4;
  Meter meter;
  EndingOn on = EndingOn::strong;
  std::optional<Degree> degree;  ///< a wanted scale degree; nothing = one or two scale steps away
};

/// A note that the phrase could land on.
struct LandingCandidate {
  LickNote note;
  int steps = 1;               ///< scale steps from the last note before it
  bool same_direction = true;  ///< as the line moves at its end
  Millimetres move;            ///< along the string from the last note's fret
};

/// One way to end.
struct EndingShape {
  EndingKind kind = EndingKind::fill;
  int start_slot = 0;          ///< of the phrase's first unit
  int slot = 0;                ///< of the landing
  std::vector<LickNote> body;  ///< the phrase's notes as this ending leaves them (trimmed, held)
  std::vector<LickNote> fill;
  std::vector<LandingCandidate> landings;  ///< unranked, at least one
};

/// The shapes in the order fill, late, trim, hold; only a fill without notes where the phrase ends on
/// a landing slot by itself. A shape that finds no note to fill or land on is left out. A landing's
/// and fill's `repeat` is the last repetition's, its `unit` counts from the phrase's first unit; a
/// landing lasts one beat. Landing candidates lie at any place of the neck.
[[nodiscard]] std::vector<EndingShape> propose_endings(const Ground& ground, const Lick& lick, const Phrase& phrase,
                                                       const EndingRequest& request);

}  // namespace fretloom
