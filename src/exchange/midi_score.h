#pragma once
// A lesson as a Standard MIDI File.

#include "exchange/midi.h"
#include "score/handout.h"

namespace fretloom {

/// Ticks a quarter note: 2^5 * 3^2 * 5 * 7, so that up to ten equal notes a beat fall on whole ticks.
constexpr int k_midi_division = 10080;

enum class MidiSpeed { goal, slow };
/// One channel for the lick, or string n on the n-th channel that is not 10.
enum class MidiChannels { one, per_string };

struct MidiOptions {
  MidiSpeed speed = MidiSpeed::goal;
  MidiChannels channels = MidiChannels::one;
};

/// Velocities: a picked note 88, a slurred one 70; an accent adds 24. Vamp 60. Click 110 on beat 1, 90
/// on other strong beats, 72 elsewhere (our choice; the standard gives no meaning to the numbers).
constexpr int k_velocity_picked = 88;
constexpr int k_velocity_slurred = 70;
constexpr int k_velocity_accent = 24;
constexpr int k_velocity_vamp = 60;
constexpr int k_velocity_click_first = 110;
constexpr int k_velocity_click_strong = 90;
constexpr int k_velocity_click = 72;

constexpr int k_midi_vamp_channel = 16;
constexpr int k_midi_click_channel = 10;  ///< percussion in General MIDI

/// Where one idea at one feel lies in the file. Every passage is: one bar of clicks, whole bars of room
/// for a pick-up, the idea, filled up to a bar line. All its bar lines fall on whole ticks.
struct MidiPassage {
  FeelRef feel;
  std::int64_t begin = 0;   ///< tick of the bar of clicks; tempo, meter and key change here
  std::int64_t first = 0;   ///< tick of the first bar after it: the marker
  std::int64_t origin = 0;  ///< tick of bar 1 beat 1
  std::int64_t end = 0;     ///< where the next passage begins

  /// Nearest tick to a musical time, halves up, from the exact fraction.
  [[nodiscard]] std::int64_t tick_of(const Beats& beat) const;
};

/// The passages of a handout, idea by idea and feel by feel.
[[nodiscard]] std::vector<MidiPassage> midi_passages(const Handout& handout);

/// Microseconds a quarter note of `bpm` beats a minute: 60 000 000 / (bpm * quarters a beat), rounded to
/// the nearest, halves up. Error: more than MIDI can say (3.58 quarter notes a minute and slower).
[[nodiscard]] Result<std::int64_t> midi_tempo(const Meter& meter, const Rational& bpm);

/// A format 1 file of four tracks. 0: the title, tempo, meter, key and a marker an idea ("1. Sixes, 4 a beat").
/// 1 "Lick": the instrument's General MIDI program, told again where an idea changes it. 2 "Vamp": every chord
/// held once, an electric piano in close voicing between C3 and C5, the root or the note after the slash below
/// it. 3 "Click": wood blocks on every beat. Additive meters become their sum. The lick swings as the
/// vamp does (score/swing.h); the vamp's own rhythm is not played: the chords stand as blocks. Errors: the handout's fault, those of midi_tempo; the idea is named.
[[nodiscard]] Result<MidiFile> midi_of(const Handout& handout, const MidiOptions& options = {});

/// The close voicing of a chord as MIDI notes, ascending, of the inversions in C3 to C5 (48 to 72) the one
/// that moves least from `before` (ascending, may be empty: then the one about C4). Chords of more than
/// four notes leave out the root, which the bass has, and then a perfect fifth (common practice).
[[nodiscard]] std::vector<int> close_voicing(const Chord& chord, const std::vector<int>& before);
/// The note below it, in C2 to B2 (36 to 47).
[[nodiscard]] int bass_note(const Chord& chord);

}  // namespace fretloom
