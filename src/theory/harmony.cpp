#include "theory/harmony.h"

#include <algorithm>

#include "base/rational.h"

namespace fretloom {

namespace {

int above_root(const Chord& chord, int midi) { return static_cast<int>(floor_mod(midi - chord.root.semitones(), 12)); }

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
  if (!key.contains(pitch.midi())) return {HarmonicRole::outside, degree};
  const bool semitone_above_tone = chord.tone_at(above + 11) != nullptr;
  const bool dominant_flat_nine = above == 1 && is_dominant(chord);
  return {semitone_above_tone && !dominant_flat_nine ? HarmonicRole::avoid : HarmonicRole::tension, degree};
}

std::string chord_tone_word(const Degree& degree) {
  switch (degree.number) {
    case 1: return "root";
    case 3: return "3rd";
    case 5: return "5th";
    case 7: return "7th";
    default: return degree.name();
  }
}

int rest_rank(const Chord& chord, int midi) {
  const Degree* tone = chord.tone_at(above_root(chord, midi));
  if (tone == nullptr) return 4;
  switch (tone->number) {
    case 1: return 0;
    case 5: return 1;
    case 3: return 2;
    case 7: return 3;
    default: return 4;
  }
}

}  // namespace fretloom
