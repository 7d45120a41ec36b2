// What follows from an instrument's strings.

#include "score/instrument.h"

#include <gtest/gtest.h>

namespace fretloom {
namespace {

Instrument instrument(const std::vector<std::string>& open) {
  return {{parse_tuning(open).value(), 24, Millimetres(648), 0}};
}

TEST(Instrument, BassesAreToldFromLowGuitars) {
  for (const auto& bass :
       {instrument({"E1", "A1", "D2", "G2"}), instrument({"D1", "A1", "D2", "G2"}),
        instrument({"B0", "E1", "A1", "D2", "G2", "C3"}), instrument({"B0", "E1", "A1", "D2", "G2", "C3", "F3"})}) {
    EXPECT_EQ(bass.family(), InstrumentFamily::bass);
    EXPECT_EQ(bass.midi_program(), 33);  // General MIDI level 1: electric bass (finger) is 34 of 1 to 128
    EXPECT_EQ(bass.name(), "Bass");
  }
  for (const auto& guitar :
       {instrument({"E2", "A2", "D3", "G3", "B3", "E4"}), instrument({"B1", "E2", "A2", "D3", "G3", "B3", "E4"}),
        instrument({"C2", "F2", "Bb2", "Eb3", "G3", "C4"}), instrument({"B1", "E2", "A2", "D3", "F#3", "B3"}),
        instrument({"E1", "B1", "E2", "A2", "D3", "G3", "B3", "E4"})}) {
    EXPECT_EQ(guitar.family(), InstrumentFamily::guitar);
    EXPECT_EQ(guitar.midi_program(), 27);  // General MIDI level 1: electric guitar (clean) is 28 of 1 to 128
    EXPECT_EQ(guitar.name(), "Guitar");
  }
}

TEST(Instrument, EveryPresetHasAFamilyAndItsName) {
  for (const TuningPreset& preset : tuning_presets()) {
    const Instrument one{{parse_tuning(preset.name).value(), 24, Millimetres(648), 0}};
    const bool bass = preset.name.find("bass") != std::string_view::npos;
    EXPECT_EQ(one.is_bass(), bass) << preset.name;
    EXPECT_EQ(one.tuning_name(), preset.name);
  }
  EXPECT_FALSE(instrument({"E2", "A2", "D3", "G3", "B3", "F4"}).tuning_name());
}

}  // namespace
}  // namespace fretloom
