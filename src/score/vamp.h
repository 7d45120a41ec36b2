#pragma once
// The vamp: chords under a lesson, in bars that loop.

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "score/meter.h"
#include "theory/chord.h"
#include "theory/scale.h"

namespace fretloom {

/// A chord of the vamp with its place.
struct VampChord {
  Beats onset;
  Beats duration;
  Chord chord;
};

/// A plain word for how the band plays the vamp; its patterns are a row of src/band/rhythm_table.cpp.
struct VampRhythm {
  std::string_view name;
  std::string_view lead;  ///< what stands before the name in "the chords are played in eighths"; empty for "held"
  Rational strikes_per_beat{0};  ///< as a lead sheet writes them; 0 = once a chord, or not evenly
  int swing = 1;                 ///< long to short of its off-beats where the lesson names no swing
  std::string_view played;       ///< how the chords are struck, for a list of the rhythms
};
[[nodiscard]] std::span<const VampRhythm> vamp_rhythms();
/// nullptr where no rhythm has this name. Points into vamp_rhythms().
[[nodiscard]] const VampRhythm* find_rhythm(std::string_view name);

/// One cycle of a vamp from bar 1; it loops.
struct Vamp {
  std::vector<VampChord> chords;
  int bars = 0;
  VampRhythm rhythm = *find_rhythm("sixteenths");  ///< a row of vamp_rhythms()
  Rational swing{1};  ///< long to short of each off-beat pair, 1 to 4; 1 = straight (score/swing.h)

  /// Of the whole cycle.
  [[nodiscard]] Beats length(const Meter& meter) const;
};

/// The chord that sounds at a beat while the vamp loops; a pick-up lies over the vamp's last bar. nullptr if
/// the vamp is empty. Points into `vamp`.
[[nodiscard]] const VampChord* chord_at(const Vamp& vamp, const Meter& meter, const Beats& beat);

/// Reads "Em7 | A7": bars between bar lines, chord i (from 0) of k in a bar of B beats starts on beat
/// ceil(i B / k); "%" repeats the bar before. Errors: a chord that is not understood (repaired with
/// `root_for_repair`), an empty bar (repaired with "%", the first with the root), more chords than beats in a bar, more
/// than 64 bars. Error.at is the byte offset in the text; Error.repair the whole text mended, which parses; empty where
/// none is near.
[[nodiscard]] Result<Vamp> parse_vamp(std::string_view text, const Meter& meter,
                                      std::string_view root_for_repair = "C");

/// "Em7 | A7": the chords with bar lines, "%" for a bar in which none starts; empty for no chords. parse_vamp reads it
/// back.
[[nodiscard]] std::string chords_text(const Vamp& vamp, const Meter& meter);

/// The mode's own vamp on a key, as text: "Em7 | A7" (common practice, no source). A scale that is no
/// known mode takes the triad or seventh chord that its own degrees build on the tonic. A root that
/// would need three accidentals is written by its neighbour letter: "Abbm7b5 | Abmaj7".
[[nodiscard]] std::string default_vamp(const Key& key);

}  // namespace fretloom
