#pragma once
// An idea at one feel, note by note. Pitches sound as written here (a guitar staff is engraved an octave up).
// What is true of the idea at every feel stands in its IdeaSheet (score/handout.h).

#include <optional>
#include <string>
#include <vector>

#include "base/units.h"
#include "score/ending.h"
#include "score/meter.h"
#include "score/stroke.h"
#include "theory/pitch.h"

namespace fretloom {

/// Where a note comes from: the rule carried across the strings, or the ending.
enum class Role { rule, fill, landing };

/// One sounded note.
struct ScoreNote {
  Beats onset;     ///< from bar 1 beat 1; negative in a pick-up
  Beats duration;  ///< until its time value ends; > 0
  SpelledPitch pitch;
  int string = 1;                ///< 1 = thinnest
  int fret = 0;                  ///< from the capo
  int ordinal = 1;               ///< among the string's notes in the layout, 1 = lowest
  Degree degree;                 ///< against the key: "b3"
  std::optional<Stroke> stroke;  ///< nothing on a slurred note
  Attack attack = Attack::pick;
  std::optional<int> finger;  ///< 1 = index to 4 = little finger; 0 = open string
  bool accent = false;
  int repeat = 1;  ///< 1..R on the way out, R+1..2R on the way back; the last one's for an ending
  Role role = Role::rule;

  friend bool operator==(const ScoreNote&, const ScoreNote&) = default;
};

/// An idea at one feel.
struct Score {
  int notes_per_beat = 4;
  std::optional<TupletRatio> ratio;
  Beats start;                   ///< onset of the idea's first unit (a rule may start with a rest)
  Beats end;                     ///< where the last time value ends
  std::vector<ScoreNote> notes;  ///< one voice, ascending onsets, no overlap; gaps are rests
  std::optional<Ending> ending;  ///< its notes are the last ones of `notes`, by their role
};

/// The landing note; nullptr without an ending. Points into the score.
[[nodiscard]] const ScoreNote* landing_of(const Score& score);

/// The score as plain lines, one a note, for tests and people.
[[nodiscard]] std::string to_text(const Score& score);

}  // namespace fretloom
