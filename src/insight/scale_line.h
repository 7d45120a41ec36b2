#pragma once
// A scale as its pitches alone: what keys with the same notes have in common.

#include <array>
#include <cstdint>
#include <vector>

#include "theory/scale.h"

namespace fretloom {

/// The pitch classes of a scale, bit 0 = C to bit 11 = B.
using PitchSet = std::uint16_t;

/// The scale's notes over all octaves, numbered upward from 0. Notes below MIDI 0 and above k_top are not there.
class ScaleLine {
 public:
  static constexpr int k_top = 160;

  explicit ScaleLine(PitchSet set);

  [[nodiscard]] PitchSet set() const { return set_; }
  /// Notes in an octave.
  [[nodiscard]] int size() const { return size_; }
  [[nodiscard]] bool has(int midi) const { return (set_ >> (midi % 12) & 1U) != 0; }
  /// Number of the lowest note at or above `midi`. Precondition: 0 <= midi <= k_top.
  [[nodiscard]] int at_or_above(int midi) const { return above_[static_cast<std::size_t>(midi)]; }
  /// MIDI note of a number; far off every neck where there is none.
  [[nodiscard]] int midi(int number) const {
    return number >= 0 && number < static_cast<int>(midi_.size()) ? midi_[static_cast<std::size_t>(number)] : 10'000;
  }

 private:
  PitchSet set_ = 0;
  int size_ = 0;
  std::vector<int> midi_;
  std::array<int, k_top + 1> above_{};
};

/// A set of notes with what it costs to name it (see code_length.h).
struct ScaleChoice {
  PitchSet set = 0;
  double bits = 0;
};

/// Every set of notes that a known mode has on some tonic, the cheapest first.
[[nodiscard]] std::vector<ScaleChoice> scale_choices();

/// Every known mode on every tonic with just these notes, spelled with the fewest accidentals.
[[nodiscard]] std::vector<Key> keys_with(PitchSet set);

}  // namespace fretloom
