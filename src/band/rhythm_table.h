#pragma once
// The band's patterns, one row for each rhythm word of score/vamp.h.
//
// A lane is a part of the pattern: "X... .... x.m. ....|X... ...." - cells of steps, the cells of a bar in the order of
// the roles 0 to 3 (band/bar_plan.h), bars that alternate after "|". A simple cell has four steps, a long one six; a
// pulse of fewer steps takes its cell's first. In every lane "." is nothing, and a letter is played from an intensity
// on: capitals and those named "always" at every one. All rows are common practice of rhythm sections, no source.
//
//   chords  X x rings until the next stroke (X accented), m from medium on, f at full; S s brief, t from medium on, u
//           at full; P under the palm, always
//   bass    R root, 5 fifth, 8 octave, w walking tone: always; r root, q fifth, e octave from medium on; g ghost at
//           full
//   kick, snare, cymbal
//           X accented, x plain: always; m plain from medium on, f at full; o ghost from medium on, g at full;
//           k side stick: always; p pedal hat from medium on; O open hat from medium on, else closed

#include <array>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "band/bar_plan.h"
#include "score/band.h"

namespace fretloom {

/// sparse: the bones; medium: ghost notes, fills of a pulse; full: everything, long fills, crashes.
enum class Intensity { sparse, medium, full };
/// "sparse", "medium", "full".
[[nodiscard]] std::string_view name(Intensity intensity);
[[nodiscard]] std::optional<Intensity> parse_intensity(std::string_view text);

/// How a quarter divides: in four, or in three with their halves ("triplets"), for which the long cells are taken.
enum class Division { four, three };

/// The lanes for one length of pulse.
struct Lanes {
  std::string_view chords;
  std::string_view bass;
  std::string_view kick;
  std::string_view snare;
  std::string_view cymbal;
};

struct RhythmTable {
  std::string_view name;  ///< of the row of vamp_rhythms()
  BandRole comp = BandRole::keys;
  DrumKey cymbal = DrumKey::closed_hat;
  Division division = Division::four;
  ThreeFeel three = ThreeFeel::back_beats;
  Lanes simple;
  Lanes long_cells;  ///< "long": compound beats, and quarters that divide in three
};

[[nodiscard]] std::span<const RhythmTable> rhythm_tables();
/// nullptr where no row has this name.
[[nodiscard]] const RhythmTable* find_rhythm_table(std::string_view name);

/// A letter of a lane at its place.
struct Hit {
  Rational onset;  ///< beats from the loop's start, straight
  Rational step;   ///< length of its step in beats
  char letter = '.';
  int bar = 0;            ///< from 0
  bool is_pulse = false;  ///< on a pulse
};

/// Plan and pattern of a rhythm in a meter at a tempo.
class Pattern {
 public:
  Pattern(const RhythmTable& table, const Meter& meter, const Rational& bpm);

  /// The hits of one lane in one bar, in order. Off-steps that would follow each other faster than twelve a second are
  /// left out.
  [[nodiscard]] std::vector<Hit> hits(std::string_view Lanes::*lane, int bar) const;
  [[nodiscard]] const BarPlan& plan() const { return plan_; }
  [[nodiscard]] const RhythmTable& table() const { return table_; }
  /// Bars after which the drums of every lane repeat, fills apart.
  [[nodiscard]] int period() const;
  /// Whether a step of a pulse is slow enough to be played.
  [[nodiscard]] bool is_playable(const Pulse& pulse, int step) const;
  /// The pulses of a bar as they are played: a quarter that divides in three has six steps.
  [[nodiscard]] std::vector<Pulse> pulses(int bar) const;

 private:
  const RhythmTable& table_;
  Meter meter_;
  Rational bpm_;
  BarPlan plan_;
};

}  // namespace fretloom
