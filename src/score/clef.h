#pragma once
// The clef an idea is written in, and where its notes stand under it: one answer for every output.

#include "score/handout.h"

namespace fretloom {

/// Treble clef with 8 below, and the bass clef sounding an octave lower: both are written an octave above their sound
/// (common practice).
enum class Clef { treble_8vb, bass };

/// Half staff spaces above the middle line of a sounding pitch, written an octave up.
[[nodiscard]] int staff_position(Clef clef, const SpelledPitch& sounding);

/// Ledger lines that a note at this position needs: none within the staff and on the places next to it.
[[nodiscard]] int ledger_lines(int position);

/// The outermost place that a note may have without the n-th octave of an ottava, under the ones before: the fourth
/// ledger line without any, the fifth under one, since two octaves are read seldom.
[[nodiscard]] constexpr int outermost_place(int octave) { return octave == 1 ? 12 : 14; }
/// Octaves by which a note at this position is printed lower (positive) or higher (negative), at most two.
[[nodiscard]] int ottava_of(int position);

/// Basses: the bass clef. Guitars: treble 8 below, except where a note of the idea lies beyond the fourth ledger
/// line below the staff; then all its notes are counted at all feels. A note costs its ledger lines under its ottava
/// and one more for each octave of it; in the bass clef three more, since a guitarist reads treble first. The clef that
/// costs less is taken, treble of equals (ours; the weights are by eye). So a line from C#1 up to E4 keeps treble under
/// an ottava at its low end, and a riff on a low F# goes into the bass clef.
[[nodiscard]] Clef clef_of(const IdeaSheet& idea);

}  // namespace fretloom
