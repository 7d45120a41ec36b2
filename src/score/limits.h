#pragma once
// How fast, how fine and how long a score may be: asked of the teacher's input, kept by every output.

#include <cstdint>

namespace fretloom {

/// Beats a minute, both ends legal. Wider than any metronome (40 to 208 is common practice, no source), so that
/// slow work on half a beat and cut time both fit.
constexpr int k_slowest_bpm = 10;
constexpr int k_fastest_bpm = 600;

/// Equal notes in one beat, at least 1; the finest that tuplet_ratio writes.
constexpr int k_max_notes_per_beat = 12;

/// Sum of a meter's numerators, at least 1.
constexpr int k_max_meter_beats = 32;

}  // namespace fretloom
