#pragma once
// From a rule to notes: the rule carried across the strings, and back.
//
// Repetition r (from 0) of a cell starts r x carry.strings thinner, on the layout moved r x carry.steps
// scale steps up. A sequence stays on the base layout, read as one ascending line, and starts r x
// carry.steps notes further up.

#include <optional>
#include <string>
#include <vector>

#include "base/diagnostics.h"
#include "lick/rule.h"
#include "neck/layout.h"

namespace fretloom {

/// One note of the phrase, put on another fret. `repeat` from 1 (1..R out, R+1..2R back), `note`
/// counts the sounded notes of that repetition from 1. Touches that one note only.
struct NoteEdit {
  int repeat = 1;
  int note = 1;
  int fret = 0;

  friend bool operator==(const NoteEdit&, const NoteEdit&) = default;
};

/// Everything that expansion needs besides the neck.
struct Lick {
  Rule rule;
  Carry carry;
  int start_string = 6;
  int start_ordinal = 1;       ///< sequences only
  std::optional<int> repeats;  ///< nothing = "fit"; 1 to 64
  Back back = Back::none;
  std::vector<NoteEdit> edits;
};

/// The instrument and its notes that a lick is expanded on.
struct Ground {
  Key key;
  Neck neck;
  Layout layout;
};

/// A note of the phrase. Units count from the phrase's first unit, which may be a rest.
struct LickNote {
  int string = 1;
  int fret = 0;
  int ordinal = 1;
  int midi = 0;
  SpelledPitch pitch;
  Degree degree;
  Attack attack = Attack::pick;
  bool accent = false;
  int unit = 0;
  int units = 1;
  int repeat = 1;
  /// Index in rule.tokens of the token that a slur on this note is written at: the note's own on the
  /// way out and in a mirrored return; the following token's in a retrograde return, where the slur
  /// moves to its pair's later note. Nothing where no slur can be written.
  std::optional<std::size_t> slur_token;

  friend bool operator==(const LickNote&, const LickNote&) = default;
};

struct Phrase {
  std::vector<LickNote> notes;
  int repeats = 0;  ///< on the way out
  int units = 0;    ///< in all, the return included
};

/// Something expansion has to say about one key of the idea. `key` is relative to the idea ("rule",
/// "repeats", "carry", "start.string", "edits[2]"), `at` a byte offset in the rule's text.
struct Remark {
  Level level = Level::error;
  std::string code;
  std::string key;
  std::size_t at = 0;
  std::string message;
  std::string repair;
};

constexpr int k_max_repeats = 64;

/// The phrase, or nothing and at least one error in `remarks`. Warnings: an edit without its note, a
/// sequence slur that falls on two strings and is picked, a slur that an edit turns round or leaves on one
/// fret. A repair is legal for the whole phrase.
[[nodiscard]] std::optional<Phrase> expand(const Ground& ground, const Lick& lick, std::vector<Remark>& remarks);

/// "6: 12 15 14 15 | 5: 14 12": one entry a visit.
[[nodiscard]] std::string to_text(const std::vector<LickNote>& notes);

/// String, fret and pitch filled in for an altered ordinal on the layout moved `steps` up. The fret
/// may lie off the neck.
[[nodiscard]] LickNote place_note(const Ground& ground, int string, int ordinal, int alter, int steps = 0);

}  // namespace fretloom
