#pragma once
// How notes are struck, and the string changes between them.

#include <optional>
#include <string_view>
#include <vector>

namespace fretloom {

enum class Stroke { down, up };
enum class Attack { pick, hammer, pull, slide };

[[nodiscard]] constexpr Stroke other(Stroke s) { return s == Stroke::down ? Stroke::up : Stroke::down; }
/// 'D' or 'U'.
[[nodiscard]] constexpr char letter(Stroke s) { return s == Stroke::down ? 'D' : 'U'; }
/// "down", "up": as the lesson file writes it.
[[nodiscard]] std::string_view name(Stroke stroke);
/// "pick", "hammer", "pull", "slide".
[[nodiscard]] std::string_view name(Attack attack);

/// How strokes are chosen. alternate: alternates over picked notes. grid: alternates over units from
/// the idea's first, counting rests, slurs and held units. economy: the first stroke on a new
/// adjacent string goes the way of travel (down toward thinner), otherwise alternates.
enum class Picking { alternate, grid, economy };
/// "alternate", "grid", "economy".
[[nodiscard]] std::string_view name(Picking picking);

/// After which strokes the pick stands clear of the strings.
enum class Clear { upstroke, downstroke, both, none };
/// "upstroke", "downstroke", "both", "none".
[[nodiscard]] std::string_view name(Clear clear);

[[nodiscard]] constexpr bool is_clear_after(Clear clear, Stroke stroke) {
  return clear == Clear::both || clear == (stroke == Stroke::down ? Clear::downstroke : Clear::upstroke);
}

/// outside: the thicker string's stroke is down and the thinner's up, whichever way the pick
/// travels; inside: the reverse; sweep: the same stroke with the travel between adjacent strings;
/// reset: the same stroke against the travel or over a skipped string.
enum class ChangeType { outside, inside, sweep, reset };
/// "outside", "inside", "sweep", "reset".
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

/// How many of the changes are not free.
[[nodiscard]] int count_blocked(const std::vector<Change>& changes);
/// The same changes judged with another setting.
[[nodiscard]] int count_blocked(const std::vector<Change>& changes, Clear clear);
/// The first change that is not free; nullptr where all are. Points into `changes`.
[[nodiscard]] const Change* first_blocked(const std::vector<Change>& changes);

}  // namespace fretloom
