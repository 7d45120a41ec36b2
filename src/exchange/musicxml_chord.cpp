#include "exchange/musicxml_chord.h"

#include <algorithm>
#include <array>
#include <string>

namespace fretloom {

namespace {

/// kind-value and the symbol whose tones it stands for.
struct KindRow {
  std::string_view kind;
  std::string_view suffix;
};

constexpr std::array k_kinds = {
    KindRow{"major", ""},
    KindRow{"minor", "m"},
    KindRow{"augmented", "aug"},
    KindRow{"diminished", "dim"},
    KindRow{"dominant", "7"},
    KindRow{"major-seventh", "maj7"},
    KindRow{"minor-seventh", "m7"},
    KindRow{"diminished-seventh", "dim7"},
    KindRow{"augmented-seventh", "7#5"},
    KindRow{"half-diminished", "m7b5"},
    KindRow{"major-minor", "m(maj7)"},
    KindRow{"major-sixth", "6"},
    KindRow{"minor-sixth", "m6"},
    KindRow{"dominant-ninth", "9"},
    KindRow{"major-ninth", "maj9"},
    KindRow{"minor-ninth", "m9"},
    KindRow{"dominant-11th", "11"},
    KindRow{"major-11th", "maj11"},
    KindRow{"minor-11th", "m11"},
    KindRow{"dominant-13th", "13"},
    KindRow{"major-13th", "maj13"},
    KindRow{"minor-13th", "m13"},
    KindRow{"suspended-second", "sus2"},
    KindRow{"suspended-fourth", "sus4"},
    KindRow{"power", "5"},
};

bool has(const std::vector<Degree>& tones, const Degree& tone) {
  return std::find(tones.begin(), tones.end(), tone) != tones.end();
}

/// Alteration of a degree of a dominant chord against the major scale.
int dominant_alter(int number) { return number == 7 ? -1 : 0; }

/// What turns one chord into another: a tone of the same number moves, else tones go and come.
std::vector<MusicXmlDegree> degrees_between(const std::vector<Degree>& kind, const std::vector<Degree>& wanted) {
  std::vector<MusicXmlDegree> degrees;
  std::vector<Degree> placed;
  for (const Degree& tone : kind) {
    if (has(wanted, tone)) continue;
    const auto moved = std::find_if(wanted.begin(), wanted.end(), [&](const Degree& d) {
      return d.number == tone.number && !has(kind, d) && !has(placed, d);
    });
    if (moved == wanted.end()) {
      degrees.push_back({tone.number, 0, "subtract"});
    } else {
      degrees.push_back({tone.number, moved->alter - tone.alter, "alter"});
      placed.push_back(*moved);
    }
  }
  for (const Degree& tone : wanted) {
    if (!has(kind, tone) && !has(placed, tone))
      degrees.push_back({tone.number, tone.alter - dominant_alter(tone.number), "add"});
  }
  return degrees;
}

}  // namespace

MusicXmlKind musicxml_kind(const Chord& chord) {
  MusicXmlKind best;
  for (const KindRow& row : k_kinds) {
    const auto plain = parse_chord("C" + std::string(row.suffix));
    if (!plain) continue;
    auto degrees = degrees_between(plain->tones, chord.tones);
    if (best.kind.empty() || degrees.size() < best.degrees.size()) best = {row.kind, std::move(degrees)};
  }
  return best;
}

}  // namespace fretloom
