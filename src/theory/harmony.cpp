#include "theory/harmony.h"

#include <algorithm>

#include "base/rational.h"

namespace fretloom {

namespace {

int above_root(const Chord& chord, int midi) { return static_cast<int>(floor_mod(midi - chord.root.semitones(), 12)); }

/// Sounds in the chord: one of its tones, or its bass.
bool sounds_in(const Chord& chord, int above) {
  return chord.tone_at(above) != nullptr ||
         (chord.bass && floor_mod(chord.bass->semitones() - chord.root.semitones() - above, 12) == 0);
}

/// A major third and a minor seventh.
bool is_dominant(const Chord& chord) { return chord.tone_at(4) != nullptr && chord.tone_at(10) != nullptr; }

std::string degree_above(const Chord& chord, const PitchClass& note) {
  const int letters = static_cast<int>(floor_mod(note.letter - chord.root.letter, 7));
  const Degree plain{letters + 1, 0};
  const int alter =
      static_cast<int>(floor_mod(note.semitones() - chord.root.semitones() - plain.semitones() + 6, 12)) - 6;
  return Degree{plain.number, alter}.name();
}

}  // namespace

Harmony harmony(const Key& key, const Chord& chord, const SpelledPitch& pitch) {
  const int above = above_root(chord, pitch.midi());
  if (const Degree* tone = chord.tone_at(above)) return {HarmonicRole::chord_tone, tone->name()};
  const std::string degree = degree_above(chord, pitch.pitch_class);
  if (sounds_in(chord, above)) return {HarmonicRole::chord_tone, degree};
  if (!key.contains(pitch.midi())) return {HarmonicRole::outside, degree};
  const bool semitone_above_tone = sounds_in(chord, above + 11);
  const bool dominant_flat_nine = above == 1 && is_dominant(chord);
  return {semitone_above_tone && !dominant_flat_nine ? HarmonicRole::avoid : HarmonicRole::tension, degree};
}

std::string chord_tone_word(const Degree& degree) {
  switch (degree.number) {
    case 1: return "root";
    case 3: return "3rd";
    case 5: return "5th";
    case 7: return "7th";
    default: break;
  }
  if (degree.alter != 0) return degree.name();
  return std::to_string(degree.number) + (degree.number == 2 ? "nd" : "th");
}

int rest_rank(const Chord& chord, int midi) {
  const Degree* tone = chord.tone_at(above_root(chord, midi));
  if (tone == nullptr) return k_no_rest;
  const bool sus = chord.tone_at(3) == nullptr && chord.tone_at(4) == nullptr;
  switch (tone->number) {
    case 1: return 0;
    case 5: return 1;
    case 3: return 2;
    case 2:
    case 4: return sus ? 2 : k_no_rest;
    case 7: return 3;
    case 6: return tone->alter == 0 ? 3 : k_no_rest;
    default: return k_no_rest;
  }
}

}  // namespace fretloom
