// Sampled strokes of the band, from the SoundFont of Debian's package fluid-soundfont-gm. Onsets are measured by a
// detector of the test's own: the steepest rise of energy in windows of half a millisecond.

#include "sound/band_mix.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>

#include "band/play_vamp.h"

namespace fretloom {
namespace {

/// Opened once for all tests of a process, since it takes half a second.
BandSamples& samples() {
  static BandSamples all = BandSamples::open().value();
  return all;
}

class BandMix : public testing::Test {
 protected:
  void SetUp() override {
    if (!std::filesystem::exists(k_usual_soundfont)) GTEST_SKIP() << "package fluid-soundfont-gm is not installed";
  }
};

Band band_of_one(BandRole role, int key, const std::vector<Rational>& onsets, int beats, int velocity = 100) {
  Band band;
  band.turns = 1;
  band.bars = 1;
  band.length = Beats(Rational(beats));
  BandPart part{role, RegisterUse::apart, {}};
  for (const Rational& onset : onsets)
    part.notes.push_back(
        {Beats(onset), Beats(Rational(1, 4)), key, velocity, BandTouch::plain, BandTone::drum, {}, {}});
  band.parts = {part};
  return band;
}

/// Frames of windows of half a millisecond whose energy is at least a fourth (half the amplitude) of the loudest one's
/// and at least eight times that of the window 4 ms before.
std::vector<std::int64_t> onsets_of(const Audio& audio) {
  constexpr std::int64_t k_window = k_sample_rate / 2000;
  std::vector<double> energy;
  for (std::int64_t frame = 0; frame + k_window <= audio.frames(); frame += k_window) {
    double sum = 0;
    for (std::int64_t i = frame * k_channels; i < (frame + k_window) * k_channels; ++i)
      sum += std::pow(audio.samples[static_cast<std::size_t>(i)], 2);
    energy.push_back(sum);
  }
  const double loudest = *std::max_element(energy.begin(), energy.end());
  std::vector<std::int64_t> onsets;
  for (std::size_t i = 8; i < energy.size(); ++i) {
    const bool rises = energy[i] >= loudest / 4 && energy[i] >= 8 * energy[i - 8];
    const auto frame = static_cast<std::int64_t>(i) * k_window;
    if (rises && (onsets.empty() || frame - onsets.back() > k_sample_rate / 20)) onsets.push_back(frame);
  }
  return onsets;
}

TEST_F(BandMix, AStrokeIsTheSameEachTime) {
  const SampledStroke stroke{BandRole::keys, 60, 72, 12000};
  const Sample first = *samples().sample(stroke).value();
  auto again = BandSamples::open().value();
  EXPECT_EQ(again.sample(stroke).value()->audio.samples, first.audio.samples);
  // Whatever was rendered before it.
  auto third = BandSamples::open().value();
  ASSERT_TRUE(third.sample({BandRole::drums, 36, 100, 0}));
  EXPECT_EQ(third.sample(stroke).value()->audio.samples, first.audio.samples);
  EXPECT_EQ(third.rendered(), 2U);
}

TEST_F(BandMix, EveryDrumAndKeySounds) {
  for (const DrumKey key :
       {DrumKey::kick, DrumKey::side_stick, DrumKey::snare, DrumKey::low_tom, DrumKey::closed_hat, DrumKey::pedal_hat,
        DrumKey::middle_tom, DrumKey::open_hat, DrumKey::high_tom, DrumKey::crash, DrumKey::ride}) {
    const Sample* sample = samples().sample({BandRole::drums, static_cast<int>(key), 100, 0}).value();
    const auto [low, high] = std::minmax_element(sample->audio.samples.begin(), sample->audio.samples.end());
    EXPECT_GT(std::max(-*low, *high), 0.01F) << name(key);
    EXPECT_LT(sample->attack, k_sample_rate / 50) << name(key);
    EXPECT_LT(sample->audio.seconds(), 8.1) << name(key);
  }
  for (const BandRole role : {BandRole::keys, BandRole::drone}) {
    const Sample* sample = samples().sample({role, 60, 72, 24000}).value();
    EXPECT_GT(sample->audio.frames(), 24000) << name(role);
  }
}

TEST_F(BandMix, StrokesLieAtTheirFrames) {
  for (const DrumKey key : {DrumKey::kick, DrumKey::snare, DrumKey::side_stick, DrumKey::closed_hat}) {
    const Rational bpm(97);
    const std::vector<Rational> places = {Rational(1, 3), Rational(1), Rational(7, 4), Rational(17, 6), Rational(7, 2)};
    const Audio loop = mix_band(band_of_one(BandRole::drums, static_cast<int>(key), places, 5), bpm, samples()).value();
    ASSERT_EQ(loop.frames(), frame_of(Rational(5), bpm));
    const auto onsets = onsets_of(loop);
    ASSERT_EQ(onsets.size(), places.size()) << name(key);
    for (std::size_t i = 0; i < places.size(); ++i) {
      const double milliseconds = static_cast<double>(onsets[i] - frame_of(places[i], bpm)) * 1000 / k_sample_rate;
      EXPECT_NEAR(milliseconds, 0.0, 1.0) << name(key) << ' ' << places[i].to_string();
    }
  }
}

/// A loop played twice on end is what two turns of the notes would be: tails and early attacks go round the seam.
TEST_F(BandMix, TheLoopHasNoSeam) {
  const Rational bpm(120);
  const std::vector<Rational> once = {Rational(0), Rational(3, 2)};
  std::vector<Rational> turns;
  for (int turn = 0; turn < 12; ++turn) {
    for (const Rational& place : once) turns.push_back(place + Rational(2 * turn));
  }
  const int crash = static_cast<int>(DrumKey::crash);
  const Audio loop = mix_band(band_of_one(BandRole::drums, crash, once, 2), bpm, samples()).value();
  const Audio many = mix_band(band_of_one(BandRole::drums, crash, turns, 24), bpm, samples()).value();
  for (std::size_t i = 0; i < loop.samples.size(); ++i)
    ASSERT_NEAR(loop.samples[i], many.samples[loop.samples.size() * 8 + i], 1e-4) << i;
}

TEST_F(BandMix, AHatStopsTheOpenOne) {
  Band band = band_of_one(BandRole::drums, static_cast<int>(DrumKey::open_hat), {Rational(0)}, 8);
  const auto level = [](const Audio& audio, double from) {
    double sum = 0;
    const auto begin = static_cast<std::size_t>(from * k_sample_rate) * k_channels;
    for (std::size_t i = begin; i < begin + 9600; ++i) sum += std::abs(audio.samples[i]);
    return sum;
  };
  const Audio open = mix_band(band, Rational(120), samples()).value();
  BandNote closing = band.parts[0].notes[0];
  closing.onset = Beats(Rational(1, 2));
  closing.key = static_cast<int>(DrumKey::pedal_hat);
  closing.velocity = 1;
  band.parts[0].notes.push_back(closing);
  const Audio closed = mix_band(band, Rational(120), samples()).value();
  EXPECT_EQ(level(open, 0.1), level(closed, 0.1));
  EXPECT_LT(level(closed, 0.27), level(open, 0.27) / 10);
}

TEST_F(BandMix, RefusesWhatItCannotPlay) {
  const Band band = band_of_one(BandRole::drums, 36, {Rational(0)}, 4);
  EXPECT_EQ(mix_band(band, Rational(601), samples()).error().kind, ErrorKind::range);
  const StopFlag stop = true;
  EXPECT_EQ(mix_band(band, Rational(60), samples(), {BandRole::drums}, &stop).error().kind, ErrorKind::stopped);
}

TEST(BandSamples, AMissingSoundFontNamesItsPackage) {
  const auto missing = BandSamples::open("/nowhere/none.sf2");
  ASSERT_FALSE(missing);
  EXPECT_NE(missing.error().what.find("fluid-soundfont-gm"), std::string::npos);
  EXPECT_FALSE(BandSamples::open(FRETLOOM_SOURCE_DIR "/README.md"));
}

}  // namespace
}  // namespace fretloom
