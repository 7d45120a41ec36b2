#include "neck/tuning.h"

#include <algorithm>
#include <array>

#include "base/arithmetic.h"
#include "base/text.h"

namespace fretloom {

namespace {

constexpr std::array k_presets = {
    TuningPreset{"standard", "E2 A2 D3 G3 B3 E4"},
    TuningPreset{"drop D", "D2 A2 D3 G3 B3 E4"},
    TuningPreset{"double drop D", "D2 A2 D3 G3 B3 D4"},
    TuningPreset{"half step down", "Eb2 Ab2 Db3 Gb3 Bb3 Eb4"},
    TuningPreset{"whole step down", "D2 G2 C3 F3 A3 D4"},
    TuningPreset{"drop C", "C2 G2 C3 F3 A3 D4"},
    TuningPreset{"drop B", "B1 F#2 B2 E3 G#3 C#4"},
    TuningPreset{"DADGAD", "D2 A2 D3 G3 A3 D4"},
    TuningPreset{"open D", "D2 A2 D3 F#3 A3 D4"},
    TuningPreset{"open E", "E2 B2 E3 G#3 B3 E4"},
    TuningPreset{"open G", "D2 G2 D3 G3 B3 D4"},
    TuningPreset{"open A", "E2 A2 E3 A3 C#4 E4"},
    TuningPreset{"open C", "C2 G2 C3 G3 C4 E4"},
    TuningPreset{"all fourths", "E2 A2 D3 G3 C4 F4"},
    TuningPreset{"baritone", "B1 E2 A2 D3 F#3 B3"},
    TuningPreset{"seven-string", "B1 E2 A2 D3 G3 B3 E4"},
    TuningPreset{"seven-string drop A", "A1 E2 A2 D3 G3 B3 E4"},
    TuningPreset{"eight-string", "F#1 B1 E2 A2 D3 G3 B3 E4"},
    TuningPreset{"eight-string drop E", "E1 B1 E2 A2 D3 G3 B3 E4"},
    TuningPreset{"bass", "E1 A1 D2 G2"},
    TuningPreset{"bass drop D", "D1 A1 D2 G2"},
    TuningPreset{"five-string bass", "B0 E1 A1 D2 G2"},
    TuningPreset{"six-string bass", "B0 E1 A1 D2 G2 C3"},
    TuningPreset{"ukulele", "G4 C4 E4 A4"},
    TuningPreset{"mandolin", "G3 D4 A4 E5"},
    TuningPreset{"tenor guitar", "C3 G3 D4 A4"},
};

/// The note names of a tuning without octaves and spaces: "E2 A2 D3" gives EAD.
std::string note_letters(std::string_view text) {
  std::string letters = plain_accidentals(text);
  std::erase_if(letters, [](char c) { return c == ' ' || c == '-' || (c >= '0' && c <= '9'); });
  return letters;
}

/// The preset whose strings have these note names: standard for "EADGBE" and "E A D G B E". Empty for none.
std::string preset_with_notes(std::string_view text) {
  const std::string wanted = note_letters(text);
  const auto row = std::find_if(k_presets.begin(), k_presets.end(),
                                [&](const TuningPreset& preset) { return note_letters(preset.strings) == wanted; });
  return row == k_presets.end() ? std::string() : std::string(row->name);
}

}  // namespace

std::span<const TuningPreset> tuning_presets() { return k_presets; }

bool Tuning::ascends() const {
  return std::adjacent_find(open.begin(), open.end(), [](const SpelledPitch& a, const SpelledPitch& b) {
           return a.midi() >= b.midi();
         }) == open.end();
}

Result<Tuning> parse_tuning(std::string_view preset) {
  const std::string wanted = lower(plain_accidentals(trim(preset)));
  for (const TuningPreset& row : k_presets) {
    if (lower(row.name) != wanted) continue;
    Tuning tuning;
    for (const Word& word : words(row.strings)) tuning.open.push_back(*parse_pitch(word.text));
    return tuning;
  }
  std::vector<std::string_view> names;
  for (const TuningPreset& row : k_presets) names.push_back(row.name);
  std::string near = preset_with_notes(preset);
  if (near.empty()) near = nearest(preset, names);
  if (near.empty()) near = "standard";
  return Error{ErrorKind::syntax, 0,
               "\"" + std::string(preset) +
                   "\" is not one of the tunings that `fretloom list tunings` shows; any other is written as a list of "
                   "its open strings, thick to thin",
               near};
}

Result<Tuning> parse_tuning(std::span<const std::string> pitches) {
  if (pitches.empty() || pitches.size() > k_max_strings) {
    return Error{ErrorKind::range, 0,
                 "the tuning has " + counted(pitches.size(), "string") + "; write 1 to " +
                     std::to_string(k_max_strings) + ", thick to thin",
                 ""};
  }
  Tuning tuning;
  for (std::size_t i = 0; i < pitches.size(); ++i) {
    const auto pitch = parse_pitch(pitches[i]);
    if (!pitch) {
      const std::string english = english_note(pitches[i]);
      std::string repair = english.empty() ? pitches[i] : english;
      if (!parse_pitch(repair)) repair = parse_pitch_class(repair).ok() ? repair + "2" : "E2";
      return Error{ErrorKind::syntax, i, pitch.error().what, repair};
    }
    tuning.open.push_back(*pitch);
  }
  return tuning;
}

Millimetres fret_distance(Millimetres scale_length, int fret) {
  return Millimetres(scale_length.value * (1.0 - exp2_of(-fret / 12.0)));
}

Millimetres Neck::span(int low, int high) const {
  return fret_distance(scale_length, high + capo) - fret_distance(scale_length, low + capo);
}

}  // namespace fretloom
