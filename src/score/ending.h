#pragma once
// How an idea ends at one feel, as facts. Proposed in `lick`, ranked in `hand`; the sentence is made in `words`.
//
// Slots count units from bar 1 beat 1, k to a beat, pick-ups negative.

#include <optional>
#include <string_view>
#include <vector>

#include "score/stroke.h"
#include "theory/harmony.h"

namespace fretloom {

/// fill: notes along the layout bridge the gap. hold: the last note sounds through the gap. late: the whole
/// idea starts later. trim: the last repetition is cut so that the landing comes earlier. In the order in
/// which they are taken where nothing else tells them apart.
enum class EndingKind { fill, hold, late, trim };
/// "fill", "hold", "late", "trim".
[[nodiscard]] std::string_view name(EndingKind kind);

struct Ending {
  EndingKind kind = EndingKind::fill;
  int start_slot = 0;  ///< of the phrase's first unit; a late start moves it
  int slot = 0;        ///< of the landing note
  /// Units between the phrase's last unit and the landing slot; of a trim the units that are cut.
  int units_changed = 0;
  int fill = 0;                ///< fill notes
  int steps = 1;               ///< scale steps from the last note to the landing note; 0 = the same note again
  bool same_direction = true;  ///< the landing note goes on as the line moved before it; the same note does not
  std::optional<Chord> chord;  ///< that sounds under the landing note
  Harmony harmony;             ///< of the landing note on that chord
  /// Changes into fill and landing; after_note counts on from the body as played.
  std::vector<Change> changes;

  [[nodiscard]] int blocked() const { return count_blocked(changes); }
};

}  // namespace fretloom
