#pragma once
// What values a Score's time is written in. Bars, time values with dots and ties, rests,
// tuplets and beams by beat, all from exact rationals; nothing is placed yet.
//
// Rules and sources: every beat starts a new value unless the note begins on a beat and fills whole
// beats (common practice; Gould, "Behind Bars", 2011, "Representation of beats", from memory); rests
// never hide a beat's start; a beat takes the simplest tuplet that holds its onsets and ends.

#include <string>
#include <utility>
#include <vector>

#include "base/result.h"
#include "score/score.h"
#include "score/vamp.h"

namespace fretloom {

/// One written value inside one bar: a note, a tied part of one, or a rest.
struct RhythmEvent {
  Beats onset;
  Beats duration;         ///< as it sounds
  int note = -1;          ///< index into Score::notes; -1 = rest
  int log = 2;            ///< written value 1/2^log of a whole note: 0 whole, 2 quarter, 4 sixteenth; at most 7
  int dots = 0;           ///< 0 or 1
  bool tie_in = false;    ///< continues the event before
  bool tie_out = false;   ///< continues in the event after
  int tuplet = -1;        ///< index into RhythmBar::tuplets
  int beam = -1;          ///< index into RhythmBar::beams
  bool full_bar = false;  ///< a whole bar's rest, set in its middle

  [[nodiscard]] bool is_rest() const { return note < 0; }
};

/// A beat divided against its meter.
struct TupletGroup {
  TupletRatio ratio;
  int first = 0;  ///< event index, inclusive
  int last = 0;
  bool bracket = true;  ///< false where one beam spans exactly these events
};

/// Notes under one beam; rests between them stay under it.
struct BeamGroup {
  std::vector<int> events;  ///< note events only, at least two
  /// Highest level of secondary beam that joins event i to i + 1: 1 = eighths.
  std::vector<int> joined;
};

struct RhythmBar {
  std::int64_t number = 1;  ///< 1 = first full bar; 0 and less in a pick-up
  Beats origin;             ///< where the bar's first beat lies (before `start` in a pick-up)
  Beats start;
  Beats end;
  std::vector<RhythmEvent> events;
  std::vector<TupletGroup> tuplets;
  std::vector<BeamGroup> beams;
};

struct Rhythm {
  std::vector<RhythmBar> bars;
};

/// Beats (from 0) of a bar at which a new beam starts: every beat over 2 and 4 and in compound meters,
/// each group in additive ones, else twos with a closing three where the number is odd. Eighths that fill half a bar of
/// 2/4 or 4/4 share one beam, unless a repetition of the rule begins inside it (Gould, from memory).
[[nodiscard]] std::vector<int> beam_starts(const Meter& meter);

/// First beats of the groups that a bar is counted in, which rests and values keep visible: its own in additive meters,
/// else twos with a closing three where the number is odd (common practice; of an uneven bar either order is).
[[nodiscard]] std::vector<int> counted_groups(const Meter& meter);

/// Precondition: fault_of (score/handout.h) finds nothing. Errors: range = a beat divided so finely that it needs
/// values under 1/128; limit = more than 4096 bars.
[[nodiscard]] Result<Rhythm> write_rhythm(const Meter& meter, const Score& score);

/// Onsets in the score at which the bar shows a new chord, with the chords.
[[nodiscard]] std::vector<std::pair<Beats, const VampChord*>> chords_in(const Vamp& vamp, const Meter& meter,
                                                                        const RhythmBar& bar);

/// One line an event: "bar 1 | 0 +1/4 n0 1/16 tie( beam0 6:4".
[[nodiscard]] std::string to_text(const Rhythm& rhythm);

}  // namespace fretloom
