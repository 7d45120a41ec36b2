#pragma once
// Tunings and the neck they are stretched over.

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "base/units.h"
#include "theory/pitch.h"

namespace fretloom {

/// Strings of an instrument, at least 1: room for a twelve-string guitar and every extended-range one.
constexpr int k_max_strings = 12;
/// Frets of a neck, at least 1: four octaves, more than any that is built (36 is the most that is common; no source).
constexpr int k_max_frets = 48;

/// Open strings at the nut, thickest (physically) first. 1 to k_max_strings of them.
struct Tuning {
  std::vector<SpelledPitch> open;

  [[nodiscard]] int strings() const { return static_cast<int>(open.size()); }
  /// True if every string sounds higher than its thicker neighbour.
  [[nodiscard]] bool ascends() const;

  friend bool operator==(const Tuning&, const Tuning&) = default;
};

/// A named tuning: common practice, no source.
struct TuningPreset {
  std::string_view name;
  std::string_view strings;  ///< "E2 A2 D3 G3 B3 E4"
};

[[nodiscard]] std::span<const TuningPreset> tuning_presets();
/// Reads a preset's name, case ignored. Error: unknown name; the repair is the preset whose open strings are named
/// ("EADGBE", "E A D G B E"), else the nearest name.
[[nodiscard]] Result<Tuning> parse_tuning(std::string_view preset);
/// Reads one pitch a string, thick to thin. Error.at is the index of the string at fault.
[[nodiscard]] Result<Tuning> parse_tuning(std::span<const std::string> pitches);

/// The instrument. Frets of notes count from the capo; `frets`, and millimetres, from the nut.
struct Neck {
  Tuning tuning;
  int frets = 24;  ///< 1 to k_max_frets
  Millimetres scale_length{648};
  int capo = 0;

  [[nodiscard]] int strings() const { return tuning.strings(); }
  /// Index into thick-to-thin lists of string number `string` (1 = thinnest).
  [[nodiscard]] std::size_t index(int string) const { return static_cast<std::size_t>(strings() - string); }
  /// MIDI note of an open string, behind the capo. Precondition: 1 <= string <= strings().
  [[nodiscard]] int open_midi(int string) const { return tuning.open[index(string)].midi() + capo; }
  /// Highest fret, counted from the capo.
  [[nodiscard]] int highest_fret() const { return frets - capo; }
  [[nodiscard]] bool has_string(int string) const { return string >= 1 && string <= strings(); }
  [[nodiscard]] bool has_fret(int fret) const { return fret >= 0 && fret <= highest_fret(); }
  /// Distance along the string between two frets counted from the capo, wire to wire.
  [[nodiscard]] Millimetres span(int low, int high) const;

  friend bool operator==(const Neck&, const Neck&) = default;
};

/// Distance of fret n from the nut: L (1 - 2^(-n/12)). (Equal temperament; the published tables of
/// 25.5 in agree within 0.0044 in.)
[[nodiscard]] Millimetres fret_distance(Millimetres scale_length, int fret);

}  // namespace fretloom
