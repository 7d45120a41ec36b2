#pragma once
// The picking hand: strokes, visits to strings and the changes between them.

#include <optional>
#include <string_view>
#include <vector>

#include "lick/expand.h"
#include "score/score.h"

namespace fretloom {

/// How strokes are chosen. alternate: alternates over picked notes. grid: alternates over units from
/// the idea's first, counting rests, slurs and held units. economy: the first stroke on a new
/// adjacent string goes the way of travel (down toward thinner), otherwise alternates.
enum class Picking { alternate, grid, economy };

/// After which strokes the pick stands clear of the strings.
enum class Clear { upstroke, downstroke, both, none };

[[nodiscard]] constexpr bool is_clear_after(Clear clear, Stroke stroke) {
  return clear == Clear::both || clear == (stroke == Stroke::down ? Clear::downstroke : Clear::upstroke);
}

using Strokes = std::vector<std::optional<Stroke>>;

/// One entry a note; nothing on slurred notes.
[[nodiscard]] Strokes assign_strokes(const std::vector<LickNote>& notes, Picking picking, Stroke first);

/// The stroke of a picked note behind `before`, whose last stroke is `last`; both nothing for the first.
[[nodiscard]] Stroke next_stroke(const LickNote* before, std::optional<Stroke> last, const LickNote& note,
                                 Picking picking, Stroke first);

/// Consecutive notes on one string, merged across repetitions and rests.
struct Visit {
  int string = 1;
  std::size_t first = 0;  ///< index of its first note
  int notes = 0;          ///< sounded
  int picked = 0;
};

[[nodiscard]] std::vector<Visit> visits(const std::vector<LickNote>& notes);

/// outside: the thicker string's stroke is down and the thinner's up, whichever way the pick
/// travels; inside: the reverse; sweep: the same stroke with the travel between adjacent strings;
/// reset: the same stroke against the travel or over a skipped string.
enum class ChangeType { outside, inside, sweep, reset };

[[nodiscard]] std::string_view name(ChangeType type);

/// A change from one string to another.
struct Change {
  int after_note = 0;  ///< sounded notes before it
  int from = 1;
  int to = 1;
  Stroke last = Stroke::down;   ///< last stroke before it
  Stroke first = Stroke::down;  ///< first stroke on the new string
  ChangeType type = ChangeType::outside;
  bool free = false;  ///< an adjacent sweep, or the pick is clear after `last`

  friend bool operator==(const Change&, const Change&) = default;
};

[[nodiscard]] ChangeType change_type(int from, int to, Stroke last, Stroke first);
[[nodiscard]] std::vector<Change> changes(const std::vector<LickNote>& notes, const Strokes& strokes, Clear clear);
[[nodiscard]] int count_blocked(const std::vector<Change>& changes);
/// The same changes judged with another setting.
[[nodiscard]] int count_blocked(const std::vector<Change>& changes, Clear clear);

}  // namespace fretloom
