#pragma once
// A lesson as a Standard MIDI File.

#include <span>

#include "exchange/midi.h"
#include "score/band.h"
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

/// Velocities: a picked note 88, a slurred one 70; an accent adds 24. The band has its own. Click 110 on beat 1, 90
/// on other strong beats, 72 elsewhere (our choice; the standard gives no meaning to the numbers).
constexpr int k_velocity_picked = 88;
constexpr int k_velocity_slurred = 70;
constexpr int k_velocity_accent = 24;
constexpr int k_velocity_click_first = 110;
constexpr int k_velocity_click_strong = 90;
constexpr int k_velocity_click = 72;

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

/// A format 1 file. Track 0: the title, tempo, meter, key and a marker an idea ("1. Sixes, 4 a beat"). 1 "Lick": the
/// instrument's General MIDI program, told again where an idea changes it; it swings as the vamp does (score/swing.h);
/// its strings, slurs and accents stand in text events (exchange/midi_text.h), whatever the channels.
/// 2 "Click": wood blocks on every beat. Then a track for each role of the band that plays at all, "Bass", "Guitar",
/// "Keys", "Drone", "Drums": its loop from the passage's first bar to its end, its last bars under a pick-up. Bass is
/// on channel 15, chords on 16, a drone on 14 (with a channel a string the thickest of ten strings and more come before
/// them), drums on 10 beside the click. `bands`: one an idea (src/band plays them), or none at all. Additive meters
/// become their sum. Errors: the handout's fault, those of midi_tempo; the idea is named.
[[nodiscard]] Result<MidiFile> midi_of(const Handout& handout, const MidiOptions& options = {},
                                       std::span<const Band> bands = {});

}  // namespace fretloom
