#pragma once
// Stage 2: where on the staff each note stands: clef, staff positions, accidentals, ottava.

#include <optional>
#include <string>
#include <vector>

#include "score/clef.h"
#include "score/rhythm.h"

namespace fretloom::sheet {

/// Positions of the signature's accidentals, in order; alter +1 or -1. C# stands on the third space,
/// F# on the top line and so on (common practice); the bass clef's lie two positions lower.
[[nodiscard]] std::vector<int> signature_positions(Clef clef, int fifths);

/// How one event stands on the staff.
struct StaffNote {
  int position = 0;               ///< half spaces above the middle line, ottava applied
  std::optional<int> accidental;  ///< alteration to print, -3 to 3
  bool courtesy = false;          ///< in parentheses: a reminder, not needed by the rules
  /// Printed so many octaves lower: 1 under an 8va line, 2 under a 15ma; higher: -1 over an 8vb line, -2 over a 15mb.
  int octaves = 0;
};

/// One StaffNote per RhythmEvent, bar by bar (rests keep the default).
struct StaffNotes {
  std::vector<std::vector<StaffNote>> bars;
};

/// An accidental follows the WRITTEN place: it holds for the line or space where it is printed to the bar's end, and
/// for no other. So the same fret says its sharp again where an ottava has begun or ended since, as it stands elsewhere
/// then; another octave's note that lands on an altered place under an ottava shows what it is; and a sign that would
/// still hold on its place, but was read under another ottava, is recalled in parentheses. A tie carries an accidental
/// over the bar line. A courtesy accidental stands where the bar before altered the same letter at the same or another
/// octave, or the same bar another octave's (Gould, "Accidentals", from memory).
///
/// Beats with a note beyond its fourth ledger line (score/clef.h) go under an ottava, above or below, and their
/// neighbours while those stay in the outer half of the staff; likewise two octaves where one does not suffice. Beats
/// that a tie joins go under it together, so that none begins or ends inside a tie.
[[nodiscard]] StaffNotes place_on_staff(const IdeaSheet& idea, const Score& score, const Rhythm& rhythm);

[[nodiscard]] std::string to_text(const StaffNotes& notes, const Rhythm& rhythm);

}  // namespace fretloom::sheet
