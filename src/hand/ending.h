#pragma once
// Endings with their strokes, ranked.

#include <optional>
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
  int blocked = 0;                 ///< blocked changes among the idea's own notes (Proof::blocked)
  std::optional<EndingKind> wish;  ///< options of this kind come first
};

/// The shapes, each with its best landing note, best first.
///
/// Landing notes are ranked by: near its string's row (LandingCandidate::near_row); the change into it is free (where
/// the idea's own notes have blocked changes: any chord tone before none, then free); the chord tone of the chord
/// that sounds (rest_rank); the same direction; fewer scale steps; fewer millimetres; a downstroke; the lowest fret;
/// the thicker string. A place outside the layout counts only where every place inside it that has the same pitch is
/// blocked.
///
/// Options are ranked by: changes blocked by the ending; any chord tone; a landing near its row (fill notes never
/// leave the layout); no long fill; the whole phrase before a trim; no fill that ends on its own landing place; fewer
/// units changed; fill, hold, late, trim. With a wish, options of that kind come before all others; where there is
/// none the others keep their order, so that `has_kind` tells whether the wish was met.
///
/// A shape whose only landing notes are its last note again, on a chord with another root, is left out.
[[nodiscard]] std::vector<EndingOption> rank_endings(const std::vector<EndingShape>& shapes, const Key& key,
                                                     const Vamp& vamp, const EndingContext& context);

/// Whether one of the options is of this kind.
[[nodiscard]] bool has_kind(const std::vector<EndingOption>& options, EndingKind kind);

/// Why this is how it ends, for the `reason` of `notes --json`: "2 more notes along the layout; B, the 5th of Em7,
/// on beat 1 of bar 3, 1 step on in the same direction, a downstroke".
[[nodiscard]] std::string reason(const EndingOption& option, const Meter& meter, int notes_per_beat);

}  // namespace fretloom
