#pragma once
// Chords in MusicXML's words: a kind, and degrees that add to it, alter it or take from it.

#include <string_view>
#include <vector>

#include "theory/chord.h"

namespace fretloom {

/// One degree element. alter: of "alter" semitones from the kind's own tone; of "add" from a dominant
/// chord's (so a major seventh is 7 raised by one); 0 for "subtract".
struct MusicXmlDegree {
  int value = 1;
  int alter = 0;
  std::string_view type;  ///< "add", "alter", "subtract"

  friend bool operator==(const MusicXmlDegree&, const MusicXmlDegree&) = default;
};

struct MusicXmlKind {
  std::string_view kind;  ///< kind-value of the standard: "minor-seventh"
  std::vector<MusicXmlDegree> degrees;

  friend bool operator==(const MusicXmlKind&, const MusicXmlKind&) = default;
};

/// The kind that needs the fewest degrees, of equals the earlier in the standard's list. As on chord sheets,
/// dominant-11th stands for a chord without third, and the 13ths for chords without eleventh, though the
/// standard lists those tones.
[[nodiscard]] MusicXmlKind musicxml_kind(const Chord& chord);

}  // namespace fretloom
