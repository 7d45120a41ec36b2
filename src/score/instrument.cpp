#include "score/instrument.h"

#include <algorithm>

namespace fretloom {

namespace {

constexpr int k_low_e2 = 40;  // MIDI
constexpr int k_g3 = 55;
// General MIDI (MMA, "General MIDI System Level 1", sound set), programs from 0.
constexpr int k_program_clean_guitar = 27;
constexpr int k_program_finger_bass = 33;

}  // namespace

InstrumentFamily Instrument::family() const {
  if (neck.tuning.open.empty()) return InstrumentFamily::guitar;
  const auto [low, high] =
      std::minmax_element(neck.tuning.open.begin(), neck.tuning.open.end(),
                          [](const SpelledPitch& a, const SpelledPitch& b) { return a.midi() < b.midi(); });
  return low->midi() < k_low_e2 && high->midi() <= k_g3 ? InstrumentFamily::bass : InstrumentFamily::guitar;
}

std::string_view Instrument::name() const { return is_bass() ? "Bass" : "Guitar"; }

int Instrument::midi_program() const { return is_bass() ? k_program_finger_bass : k_program_clean_guitar; }

std::optional<std::string_view> Instrument::tuning_name() const {
  for (const TuningPreset& preset : tuning_presets()) {
    if (*parse_tuning(preset.name) == neck.tuning) return preset.name;
  }
  return std::nullopt;
}

}  // namespace fretloom
