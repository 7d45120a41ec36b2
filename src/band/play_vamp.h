#pragma once
// The band: what bass, guitar or keys, a drone and drums play over a vamp.

#include <vector>

#include "band/rhythm_table.h"
#include "band/voicing.h"
#include "score/handout.h"

namespace fretloom {

/// Whether bass and chords keep out of the lick's register.
enum class LickRegister { keep_clear, may_share };
/// Whether the key's root and fifth are held under the vamp. In the rhythm "drone" they are in any case.
enum class DroneUse { none, held };

/// Where chords lie, and the bass: from the low E of four strings, or the low B of five where the lick is low.
constexpr PitchRange k_chord_range = {50, 72};
constexpr PitchRange k_bass_range = {28, 49};
constexpr int k_lowest_bass = 23;

struct BandOptions {
  Rational bpm{120};  ///< k_slowest_bpm to k_fastest_bpm; what is too fast to play is thinned out
  Intensity intensity = Intensity::medium;
  std::uint32_t seed = 1;  ///< equal seeds play equal notes
  int turns = 0;           ///< of the vamp, 1 to 64; 0 = the fewest that make an even number of bars from eight on
  LickRegister lick_register = LickRegister::keep_clear;
  DroneUse drone = DroneUse::none;
  std::optional<PitchRange> lick{};  ///< the lick's register; nothing: that of the idea's feels
};

/// What the band hears of the lick: its lowest and highest note over all feels; nothing without notes.
[[nodiscard]] std::optional<PitchRange> register_of(const IdeaSheet& idea);

/// One loop of the band over an idea's vamp; over the key's own (default_vamp) where the idea has no chords.
///
/// - Every chord is struck and its root, or the note after its slash, is played by the bass where it begins (a chord
///   that is repeated goes on). From medium on, in all rhythms but "held", an approach note leads into each change
///   whose chord before has time for one: the last bass note before it, or one put on the last off-beat.
/// - Chords of three voices (sparse, and all guitar chords) or four are voice-led by lead_voices in k_chord_range.
/// - With LickRegister::keep_clear, chords lie wholly below or above the lick's register where an octave of
///   k_chord_range is free there; else in the octave farther from its middle, and the part says `shared`. The bass lies
///   below the lick; where that leaves no octave it is left out (a bass lick is the bass). The drone, over
///   a bass from D3 on and else from C2, lies below or above the lick where a twelfth is free; else it is left out.
/// - Drums play their pattern bar by bar; a fill ends every phrase of four to seven bars (the loop falls into as
///   many as it has fours, the longer ones last). None in a loop of fewer than four.
///
/// Errors: a vamp whose chords do not fill its bars, tempo or turns out of range (range); a loop of more than 4096 bars
/// (limit).
[[nodiscard]] Result<Band> play_vamp(const IdeaSheet& idea, const BandOptions& options = {});

/// The first idea of a handout whose band an idea shares, maybe its own: with the same vamp, rhythm, swing, meter and
/// key. Precondition: the idea is one of the handout's.
[[nodiscard]] const IdeaSheet& first_over(const Handout& handout, const IdeaSheet& idea);
/// The options for an idea of a handout, so that ideas over one vamp share one band: its lick is that of them all, its
/// seed goes on with the first of them.
[[nodiscard]] BandOptions shared_band(const Handout& handout, const IdeaSheet& idea, BandOptions options);

/// Which of an idea's two tempos is played.
enum class BandSpeed { slow, goal };
/// The loops of all ideas of a handout, in order, as shared_band has them. Errors name the idea.
[[nodiscard]] Result<std::vector<Band>> play_vamps(const Handout& handout, BandSpeed speed, BandOptions options = {});

}  // namespace fretloom
