#pragma once
// How the musical keys read: one function a value, shared by the sentences and by the choices for them.

#include <optional>
#include <string>

#include "lesson/settings.h"
#include "words/sentence.h"

namespace fretloom {

/// The musical keys of the lesson or of an idea, whether all is sound or not: what is in error has the value that was
/// kept instead.
struct MusicalFacts {
  Key key;
  Neck neck;
  LayoutRule layout;
  Meter meter;
  Tempo tempo;
  Clear clear = Clear::upstroke;
  double reach = 0;          ///< mm
  std::optional<Vamp> vamp;  ///< nothing where none can be made
};
[[nodiscard]] MusicalFacts musical_facts(const SettingsDraft& draft);
[[nodiscard]] MusicalFacts musical_facts(const Settings& settings);

/// "six strings in standard tuning", "six strings in drop D", "a four-string bass", "three strings tuned E2 A2 D3 from
/// the thickest".
[[nodiscard]] std::string tuning_words(const Tuning& tuning);
/// "fret 12", "the nut".
[[nodiscard]] std::string fret_words(int from);
/// "fret 2", "no fret".
[[nodiscard]] std::string capo_words(int capo);
/// per-string: "three notes a string"; octaves: "four and three notes"; nothing for a position.
[[nodiscard]] std::string notes_words(const LayoutRule& layout);
/// "string by string", "in a position", "in octaves".
[[nodiscard]] std::string layout_kind_words(LayoutKind kind);
/// "5 frets".
[[nodiscard]] std::string width_words(int width);
/// After which strokes: "upstrokes", "downstrokes", "both strokes", "neither stroke".
[[nodiscard]] std::string clear_words(Clear clear);
/// "2:1".
[[nodiscard]] std::string swing_text(const Rational& swing);
/// "648 mm".
[[nodiscard]] std::string millimetres_words(double mm);

/// The key is written as a tonic and a scale, where an idea's own writing goes before the lesson's.
[[nodiscard]] bool is_key_by_degrees(const KeyPlaces& places);

// Clauses of the lesson sentence, each with its own small words: "in **E dorian**".

[[nodiscard]] Sentence key_clause(const MusicalFacts& facts, const KeyPlaces& places);
/// "on **six strings in standard tuning**", with the capo, the frets and the scale length where they are not the
/// defaults.
[[nodiscard]] Sentence instrument_clause(const MusicalFacts& facts, const KeyPlaces& places);
[[nodiscard]] Sentence layout_clause(const MusicalFacts& facts, const KeyPlaces& places);
/// "over **Em7 | A7**"; empty without chords.
[[nodiscard]] Sentence vamp_clause(const MusicalFacts& facts, const KeyPlaces& places);
[[nodiscard]] Sentence meter_clause(const MusicalFacts& facts, const KeyPlaces& places);
[[nodiscard]] Sentence tempo_clause(const MusicalFacts& facts, const KeyPlaces& places);
/// "the pick stands clear after **upstrokes**".
[[nodiscard]] Sentence clear_clause(const MusicalFacts& facts, const KeyPlaces& places);
/// "the chords are struck in **eighths**, swung **2:1**"; empty where both are the defaults.
[[nodiscard]] Sentence rhythm_clause(const MusicalFacts& facts, const KeyPlaces& places);
/// "the fretting hand spans **130 mm** without strain".
[[nodiscard]] Sentence reach_clause(const MusicalFacts& facts, const KeyPlaces& places);

}  // namespace fretloom
