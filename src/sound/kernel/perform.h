#pragma once
// From notes to what the hands do at which frame. The same rules play on the laptop and on the
// phone, so they live in the kernel.

#include <stdint.h>

namespace fretloom::voice {

/// A point in time in beats from the first frame, num / den. Range: num 0 to 2^31 - 1, den 1 to 65535.
struct Moment {
  int32_t num = 0;
  int32_t den = 1;
};
/// Beats a minute, num / den. Range: num 1 to 2^20, den 1 to 1000.
struct Tempo {
  int32_t num = 120;
  int32_t den = 1;
};

/// The frame nearest to a moment, halves up; exact, nothing is added up. 132 bpm, 5 notes a beat: note
/// 200 (40 beats) is at frame 872727.
[[nodiscard]] int64_t frame_at(Moment moment, Tempo tempo);

enum class Touch : int32_t { pick, hammer, pull, slide };

struct PlayedNote {
  int64_t onset = 0;   ///< frames
  int64_t end = 0;     ///< frames, > onset
  int32_t string = 0;  ///< 0 = thickest
  int32_t fret = 0;    ///< from the nut or capo, whichever the strings were made for; 0 to 48
  Touch touch = Touch::pick;
  int32_t upward = 0;   ///< 1 = upstroke
  int32_t accent = 0;   ///< 1 = accented
  uint32_t seed = 0;    ///< of its small differences; equal seeds sound equal
  int64_t ring = 0;     ///< frames beyond its end in which it is let ring, then stilled gently
  int32_t vibrato = 0;  ///< 1 = the finger sways once the note stands
  float level = 1.0F;   ///< times the manner's dynamics; together with an accent 0.05 to 1.3
  float palm = 0.0F;    ///< palm on the strings for this note, 0 to 1; never less than the manner's
};

/// How it is played.
struct Manner {
  double slide_seconds = 0.07;    ///< from leaving the old fret to reaching the new one; at most half the note before
  double hammer_seconds = 0.003;  ///< in which a hammer-on or pull-off reaches its pitch
  double palm = 0.0;              ///< palm mute, 0 to 1
  double stroke_colour = 1.0;     ///< how far an upstroke is brighter than a downstroke: 0 = alike, to 2
  double dynamics = 0.75;         ///< level of a plain stroke, 0.1 to 1
  double variance = 1.0;          ///< of level, place and angle from stroke to stroke: 0 = none, to 2
  double timing_seconds = 0.0;    ///< standard deviation of the onsets, to 0.02; 0 = exact
  double vibrato_cents = 16.0;    ///< upward, as fingers bend; 0 = none, to 100
  double hiss = 1.0;              ///< of the amplifier's noise floor: 0 = none
  double room = 1.0;              ///< of the voicing's room: 0 = none, to 2
};

/// Deeds up to `damp` come before the others at one frame.
enum class Deed : int32_t { touch, scrape, sway, damp, pluck, hammer, pull, step, arrive };

struct Event {
  int64_t frame = 0;
  Deed deed = Deed::pluck;
  int32_t string = 0;
  int32_t fret = 0;
  int32_t fade = 0;  ///< frames in which the new length is reached
  float level = 0;
  int32_t upward = 0;
  double seconds = 0;  ///< decay asked by touch and damp; how long a scrape lasts
  double palm = 0;     ///< on the strings, 0 to 1
  uint32_t seed = 0;
};

constexpr int k_events_a_note = 34;  ///< at most: a slide over 24 frets and its neighbours

/// Writes the events in ascending order and returns their number, or -1 if `capacity` is too small.
/// Notes: ascending onsets, one voice. A note rings until its end; if the next note starts there on the
/// same string it takes the string over, else the string is damped; the last note and those that ring on fade more
/// slowly. The pick lies on the string up to 4.5 ms before it plucks.
[[nodiscard]] int perform(const PlayedNote* notes, int count, const Manner& manner, Event* out, int capacity);

}  // namespace fretloom::voice
