#pragma once
// What a hand does to one note of a rule: the changes that a loom and a neck offer, and the rule after each.
//
// The other notes stay on their string and fret. A note of a cell that goes to another string therefore takes the
// string moves before and behind it along ("1 2 3" -> "1 + 2 - 3"), and where it is the cell's first note, the start
// string.

#include <cstddef>
#include <string>
#include <variant>

#include "lick/expand.h"

namespace fretloom {

/// To an ordinal (of a sequence: a scale step), so many strings thinner than it lies (cells only). A rest becomes a
/// note.
struct MoveNote {
  int ordinal = 1;
  int alter = 0;
  int thinner = 0;
};
struct SetAccent {
  bool accent = true;
};
/// by_pitch: a hammer-on up, a pull-off down.
enum class Slur { none, by_pitch, slide };
/// From the note directly before.
struct SetSlur {
  Slur slur = Slur::by_pitch;
};
/// A rest becomes a note with the ordinal of the note before it on its string, else behind it, else 1.
struct SetRest {
  bool rest = true;
};
struct SetUnits {
  int units = 1;  ///< 1 to k_max_units
};
/// A new note before the token; behind all where the token is as many as there are.
struct InsertNote {
  int ordinal = 1;
  int alter = 0;
  int offset = 0;  ///< strings thinner than the cell's first token; 0 in a sequence
};
/// The note or rest goes, and its time with it.
struct RemoveNote {};
/// The rule as long as the tokens that come nearest to so many units, of equals the shorter: without its last ones, or
/// with its own notes again from the first, on the same strings. The token says nothing.
struct SetRuleUnits {
  int units = 1;        ///< at least 1
  std::size_t own = 0;  ///< how many of the rule's tokens are its own, the others being these again; 0 = all
};

struct RuleChange {
  std::size_t token = 0;  ///< index into the rule's tokens
  std::variant<MoveNote, SetAccent, SetSlur, SetRest, SetUnits, InsertNote, RemoveNote, SetRuleUnits> what;
};

struct Reshaped {
  Rule rule;                 ///< in normal spelling
  int start_string = 6;      ///< of the lick
  std::size_t token = 0;     ///< the one to go on with
  bool lost_a_slur = false;  ///< a note that was slurred is picked now, because its slur had nowhere to go
};

/// The lick after the change. It can be expanded: all of it lies on the neck and every slur goes the way it says (a
/// slur follows the pitches of its two notes; where they lie on two strings, or on one fret, the later one is picked).
/// Errors: range = the change makes no sense there, and unreachable = the neck has no such note, or the lick could not
/// be played as often or as mirrored as it must be; `what` says why, `repair` is the rule with the nearest change that
/// can be made, or the rule itself where nothing is near. Precondition: the lick can be expanded.
[[nodiscard]] Result<Reshaped> reshape(const Ground& ground, const Lick& lick, const RuleChange& change);

}  // namespace fretloom
