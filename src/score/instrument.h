#pragma once
// The instrument of an idea: what every output needs to know of it, answered once. Its clef depends on the notes, too:
// score/clef.h.

#include <optional>
#include <string>
#include <string_view>

#include "neck/tuning.h"

namespace fretloom {

enum class InstrumentFamily { guitar, bass };

/// The neck with its strings, and what follows from it.
struct Instrument {
  Neck neck;

  /// A bass where the lowest open string is below E2 and the highest at or below G3: every usual bass with
  /// four to seven strings (E1 to G2, B0 to F3), no guitar (highest string B3 or above). Heard at the nut.
  [[nodiscard]] InstrumentFamily family() const;
  [[nodiscard]] bool is_bass() const { return family() == InstrumentFamily::bass; }
  /// "Guitar", "Bass".
  [[nodiscard]] std::string_view name() const;
  /// Octaves that the written note lies above the sounding one: 1.
  [[nodiscard]] int written_octaves_up() const { return 1; }
  /// General MIDI program, from 0: 27 electric guitar (clean), 33 electric bass (finger).
  [[nodiscard]] int midi_program() const;
  /// "standard", "drop D" where the tuning has a name; nothing otherwise.
  [[nodiscard]] std::optional<std::string_view> tuning_name() const;
  [[nodiscard]] int strings() const { return neck.strings(); }

  friend bool operator==(const Instrument&, const Instrument&) = default;
};

}  // namespace fretloom
