#pragma once
// Stage 2: where on the staff each note stands: clef, staff positions, accidentals, ottava.

#include <optional>
#include <string>
#include <vector>

#include "score/handout.h"
#include "score/rhythm.h"

namespace fretloom::sheet {

/// Half staff spaces above the middle line of a written pitch an octave above its sound.
[[nodiscard]] int staff_position(Clef clef, const SpelledPitch& sounding);

/// Positions of the signature's accidentals, in order; alter +1 or -1. C# stands on the third space,
/// F# on the top line and so on (common practice); the bass clef's lie two positions lower.
[[nodiscard]] std::vector<int> signature_positions(Clef clef, int fifths);

/// How one event stands on the staff.
struct StaffNote {
  int position = 0;               ///< half spaces above the middle line, ottava applied
  std::optional<int> accidental;  ///< alteration to print, -3 to 3
  bool courtesy = false;          ///< in parentheses: a reminder, not needed by the rules
  int octaves = 0;                ///< printed so many octaves lower: 1 under an 8va line, 2 under a 15ma
};

/// One StaffNote per RhythmEvent, bar by bar (rests keep the default).
struct StaffNotes {
  std::vector<std::vector<StaffNote>> bars;
};

/// Accidentals hold for their staff position to the bar's end; a tie carries one over the bar line. A
/// courtesy accidental stands where the bar before altered the same letter at the same or another
/// octave, or the same bar another octave's (Gould, "Accidentals", from memory). Beats with a note of
/// more than four ledger lines go under an ottava, and their neighbours while those stay in the upper
/// half of the staff or above; likewise two octaves where one does not suffice.
[[nodiscard]] StaffNotes place_on_staff(const IdeaSheet& idea, const Score& score, const Rhythm& rhythm);

[[nodiscard]] std::string to_text(const StaffNotes& notes, const Rhythm& rhythm);

}  // namespace fretloom::sheet
