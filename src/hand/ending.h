#pragma once
// Endings with their strokes, ranked.

#include <string>
#include <vector>

#include "hand/strokes.h"
#include "lick/ending.h"
#include "score/vamp.h"

namespace fretloom {

/// One way to end, with the best of its landing notes.
struct EndingOption {
  Ending ending;
  std::vector<LickNote> body;  ///< the phrase's notes as this ending leaves them
  std::vector<LickNote> fill;
  LickNote landing;
  Strokes strokes;  ///< of body, fill and landing in order

  /// Body, fill and landing in one list.
  [[nodiscard]] std::vector<LickNote> notes() const;
};

struct EndingContext {
  Picking picking = Picking::alternate;
  Stroke first_stroke = Stroke::down;
  Clear clear = Clear::upstroke;
  Meter meter;
  int notes_per_beat = 4;
};

/// The shapes in their order, each with the landing note that ranks first by: chord tone of the chord
/// that sounds (root, 5th, 3rd, 7th, none), same direction, fewer scale steps, fewer millimetres, a
/// downstroke, the lowest fret.
[[nodiscard]] std::vector<EndingOption> rank_endings(const std::vector<EndingShape>& shapes, const Key& key,
                                                     const Vamp& vamp, const EndingContext& context);

/// Why this is how it ends, for the `reason` of `notes --json`: "2 fill notes along the layout; B, the 5th of Em7,
/// on beat 1 of bar 3, 1 step on in the same direction, a downstroke".
[[nodiscard]] std::string reason(const EndingOption& option, const Meter& meter, int notes_per_beat);

}  // namespace fretloom
