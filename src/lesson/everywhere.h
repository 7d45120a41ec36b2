#pragma once
// One idea over the whole neck: all twelve keys, every position of its layout.

#include <optional>
#include <string>
#include <vector>

#include "lesson/compile.h"

namespace fretloom {

/// The idea in one key and position.
struct Placement {
  Key key;
  int from = 0;           ///< fret of the layout's first note on the thickest string (position: its lowest fret)
  bool is_home = false;   ///< the lesson's own key and position
  bool playable = false;  ///< all notes lie on the neck, with as many repetitions as asked for
  std::string reason;     ///< why not; or what to mind: blocked changes, a reach beyond the hand's
  int repeats = 0;        ///< on the way out
  int blocked = 0;
  Millimetres reach;  ///< widest string of the layout
};

/// Keys by semitones from the idea's own, upward; in each key the positions from the nut upward. A
/// position starts at a scale note of the thickest string. Edits hold only at home.
[[nodiscard]] std::vector<Placement> everywhere(const Idea& idea);

/// Where the layout of an idea can be moved to.
struct Positions {
  KeyPath key;                        ///< that says from which fret: the idea's own "layout.from", or the lesson's
  std::vector<Placement> placements;  ///< in the idea's key, from the nut upward
};
/// One that moves other ideas along is playable where they are too, or its reason names the one that is not.
[[nodiscard]] Positions positions(const Lesson& lesson, const Idea& idea);

/// The idea as it stands there, for drawings: at its first feel alone and without an ending; away from home without its
/// edits and pins. Nothing where it is not playable.
[[nodiscard]] std::optional<IdeaSheet> sheet_at(const Idea& idea, const Placement& placement);

}  // namespace fretloom
