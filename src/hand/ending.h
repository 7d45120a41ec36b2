#pragma once
// Endings with their strokes, ranked.

#include <string>
#include <vector>

#include "hand/strokes.h"
#include "lick/ending.h"
#include "score/vamp.h"
#include "theory/harmony.h"

namespace fretloom {

/// One way to end, with the best of its landing notes.
struct Ending {
  EndingKind kind = EndingKind::fill;
  int start_slot = 0;
  int slot = 0;
  std::vector<LickNote> body;  ///< the phrase's notes as this ending leaves them
  std::vector<LickNote> fill;
  LickNote landing;
  Strokes strokes;              ///< of body, fill and landing in order
  std::vector<Change> changes;  ///< likewise
  Harmony harmony;              ///< of the landing note on its chord
  std::string reason;

  /// Body, fill and landing in one list.
  [[nodiscard]] std::vector<LickNote> notes() const;
  /// Changes into the fill and landing that are not free.
  [[nodiscard]] std::vector<Change> blocked() const;
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
[[nodiscard]] std::vector<Ending> rank_endings(const std::vector<EndingShape>& shapes, const Key& key, const Vamp& vamp,
                                               const EndingContext& context);

}  // namespace fretloom
