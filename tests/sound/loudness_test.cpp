#include "sound/loudness.h"

#include <gtest/gtest.h>

#include <cmath>

#include "play/render.h"
#include "sound/signal.h"

namespace fretloom {
namespace {

struct Stretch {
  double dbfs;
  double seconds;
};

Audio sines(const std::vector<Stretch>& stretches, double hz = 1000.0) {
  Audio out;
  std::int64_t n = 0;
  for (const Stretch& s : stretches) {
    const double amplitude = std::pow(10.0, s.dbfs / 20.0);
    for (std::int64_t i = 0; i < std::llround(s.seconds * k_sample_rate); ++i, ++n) {
      const auto x = static_cast<float>(amplitude * std::sin(2.0 * M_PI * hz * static_cast<double>(n) / k_sample_rate));
      out.samples.insert(out.samples.end(), {x, x});
    }
  }
  return out;
}

// REFERENCES, "Loudness" (EBU Tech 3341 and 3342): 1 kHz stereo sines; tolerance 0.1 LU, range 1 LU.
TEST(Loudness, ReadsTheSignalsOfR128) {
  const std::vector<std::pair<std::vector<Stretch>, double>> cases = {{{{-23, 20}}, -23},
                                                                      {{{-33, 20}}, -33},
                                                                      {{{-36, 10}, {-23, 60}, {-36, 10}}, -23},
                                                                      {{{-26, 20}, {-20, 20.1}, {-26, 20}}, -23}};
  for (const auto& [stretches, want] : cases)
    EXPECT_NEAR(measure_loudness(sines(stretches))->integrated_lufs, want, 0.1);
  EXPECT_NEAR(measure_loudness(sines({{-20, 20}, {-30, 20}}))->range_lu, 10, 1);
  EXPECT_NEAR(measure_loudness(sines({{-20, 20}, {-15, 20}}))->range_lu, 5, 1);
}

TEST(Loudness, SeesPeaksBetweenTheSamples) {
  // A quarter of the rate at 45 degrees: samples at 0.707 of the true peak (EBU Tech 3341, case 15 ff.).
  Audio audio;
  for (int i = 0; i < 48000; ++i) {
    const auto x = static_cast<float>(0.5 * std::sin(M_PI / 2 * i + M_PI / 4));
    audio.samples.insert(audio.samples.end(), {x, x});
  }
  const auto loudness = measure_loudness(audio).value();
  EXPECT_NEAR(loudness.sample_peak_db, 20 * std::log10(0.5 * std::sqrt(0.5)), 0.01);
  EXPECT_NEAR(loudness.true_peak_dbtp, 20 * std::log10(0.5), 0.4);
}

TEST(Loudness, RefusesNothingAndBearsSilence) {
  EXPECT_FALSE(measure_loudness({}).ok());
  EXPECT_FALSE(level_gain({}, {}).ok());
  Audio silent;
  silent.samples.assign(96000, 0.0F);
  EXPECT_LT(measure_loudness(silent)->integrated_lufs, -70);
  const auto gain = level_gain(silent, {}).value();
  for (const float g : gain) ASSERT_TRUE(std::isfinite(g));
}

TEST(Loudness, BringsEveryVoicingToTheTargetUnderTheCeiling) {
  const IdeaSheet idea = demo::weaving(36, 4);
  for (const Piece piece : {Piece::demo, Piece::loop}) {
    const auto timeline = lay_out(idea, idea.feels[0], {.piece = piece, .bpm = Rational(120)}).value();
    for (const int voicing : {0, 1, 4}) {
      RenderOptions options;
      options.voicing = voicing;
      const auto tracks = render(idea.instrument, timeline, options).value();
      Audio out = mix(tracks.strings, tracks.click, 0.8F);
      apply_gain(out, level_gain(out, {.loop = timeline.loop}).value());
      Audio heard = out;
      if (timeline.loop) heard.samples.insert(heard.samples.end(), out.samples.begin(), out.samples.end());
      const auto loudness = measure_loudness(heard).value();
      EXPECT_NEAR(loudness.integrated_lufs, -16.0, 0.1) << voicing;
      EXPECT_LE(loudness.true_peak_dbtp, -1.0) << voicing;
      std::printf("%s voicing %d: %.2f LUFS, %.2f dBTP\n", std::string(name(piece)).c_str(), voicing,
                  loudness.integrated_lufs, loudness.true_peak_dbtp);
    }
  }
}

TEST(Loudness, LeavesOneFactorWhereNothingPeaks) {
  const auto gain = level_gain(sines({{-30, 5}}), {}).value();
  for (const float g : gain) ASSERT_EQ(g, gain.front());
  EXPECT_NEAR(20 * std::log10(static_cast<double>(gain.front())), 14.0, 0.1);
}

}  // namespace
}  // namespace fretloom
