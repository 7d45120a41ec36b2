#pragma once
// Chord symbols as players write them.

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "theory/pitch.h"

namespace fretloom {

/// A chord as its symbol names it. Tones are degrees above the root, ascending, the root first when
/// it sounds ("m7" is 1 b3 5 b7); a dominant 11 leaves out its third, a 13 its eleventh (common
/// practice, no source).
struct Chord {
  PitchClass root;
  std::vector<Degree> tones;
  std::optional<PitchClass> bass;  ///< the note after a slash
  std::string suffix;              ///< quality as typed, signs for # and b made plain

  /// "F#m7b5/E": root and bass spelled, the quality as typed.
  [[nodiscard]] std::string symbol() const;
  /// Chord tone with this many semitones above the root (any octave), or nullptr.
  [[nodiscard]] const Degree* tone_at(int semitones_above_root) const;
};

/// A chord symbol's suffix as it is set in type: "m7b5" is m, 7 and b5; "maj9#11" is maj9 and #11.
struct ChordParts {
  std::string quality;                   ///< of the triad, on the line: "", "m", "dim", "aug"; as typed
  std::string extension;                 ///< raised: "7", "maj7", "6/9", "7sus4", "add9", "alt"
  std::vector<std::string> alterations;  ///< in brackets: "b5", "#9", "no3"; with # and b, whatever was typed

  friend bool operator==(const ChordParts&, const ChordParts&) = default;
};
[[nodiscard]] ChordParts chord_parts(const Chord& chord);

/// The common qualities, each a suffix that parse_chord reads: "", "m", "maj7".
[[nodiscard]] std::span<const std::string_view> chord_qualities();

/// Reads a symbol: root, quality (maj M ma, m min mi -, dim and its ring, aug +, the slashed o, the
/// triangle), 5 6 6/9 7 9 11 13, sus2 sus4, alterations with or without brackets, add, no, alt, /bass.
/// Error: what part is not understood, with the nearest symbol as repair. A root that is no note is
/// repaired to its English name ("H7" is B7), else to `root_for_repair`.
[[nodiscard]] Result<Chord> parse_chord(std::string_view text, std::string_view root_for_repair = "C");

}  // namespace fretloom
