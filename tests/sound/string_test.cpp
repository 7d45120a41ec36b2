// The string held against physics by other means than its own: Fourier transforms and straight lines.

#include <gtest/gtest.h>

#include <cmath>

#include "sound/kernel/voice.h"
#include "sound/signal.h"

namespace fretloom {
namespace {

using signal::decibels;
using voice::PluckedString;
using voice::Strike;

constexpr double k_place = 0.13;

double open_hz(int midi) { return 440.0 * std::pow(2.0, (midi - 69) / 12.0); }  // ISO 16:1975

PluckedString make_string(double hz, bool bass = false) {
  PluckedString string;
  string.prepare(voice::usual_string(hz, bass, k_place));
  return string;
}

// The limit: one cent. The transform sees one partial of a decaying string to 0.01 cents.
TEST(String, IsInTuneOnEveryFretOfEveryTuning) {
  double worst = 0;
  for (const auto& tuning : demo::tunings()) {
    for (const int midi : tuning.open) {
      PluckedString string = make_string(open_hz(midi), tuning.bass);
      for (int fret = 0; fret <= 24; ++fret) {
        const double want = open_hz(midi + fret);
        const auto sound = signal::pluck(string, fret, 0.0, want < 120 ? 1.5 : 0.5);
        const double heard = signal::peak_hz(sound, 4800, want < 120 ? 65536 : 16384, want, 40);
        const double cents = 1200.0 * std::log2(heard / want);
        worst = std::max(worst, std::abs(cents));
        EXPECT_LT(std::abs(cents), 1.0) << tuning.name << " open " << midi << " fret " << fret;
      }
    }
  }
  RecordProperty("worst_cents", std::to_string(worst));
  std::printf("worst tuning error %.4f cents\n", worst);
}

TEST(String, DecaysAsAskedInEveryRegister) {
  double worst = 0;
  for (const auto& tuning : demo::tunings()) {
    for (const int midi : tuning.open) {
      PluckedString string = make_string(open_hz(midi), tuning.bass);
      for (const int fret : {0, 1, 5, 12, 19, 24}) {
        const auto sound = signal::pluck(string, fret, 0.0, 2.0);
        const double asked = string.asked_t60(fret, 0.0);
        const double heard = signal::t60_of(sound, open_hz(midi + fret), 0.2, 1.9);
        worst = std::max(worst, std::abs(heard / asked - 1.0));
        EXPECT_NEAR(heard / asked, 1.0, 0.1) << tuning.name << " open " << midi << " fret " << fret;
      }
    }
  }
  std::printf("worst decay error %.2f %%\n", 100 * worst);
}

// REFERENCES, "Strings and takes": E2 rings 6 s, E4 4 s (gain of a period 0.98613 and 0.99478).
TEST(String, KnowsTheReferencePeriodGains) {
  EXPECT_NEAR(voice::design_loop({82.407, 6.0, 0.3, 0}).period_gain, 0.98613, 5e-6);
  EXPECT_NEAR(voice::design_loop({329.63, 4.0, 0.5, 0}).period_gain, 0.99478, 6e-6);
  EXPECT_NEAR(voice::design_loop({82.407, 0.25, 0.03, 0}).period_gain, 0.7151, 5e-5);
  EXPECT_NEAR(make_string(82.407).asked_t60(0, 0), 6.0, 0.01);
  EXPECT_NEAR(make_string(329.63).asked_t60(0, 0), 4.0, 0.01);
}

TEST(String, HighPartialsDieFirst) {
  PluckedString string = make_string(110.0);
  const auto sound = signal::pluck(string, 0, 0.0, 2.0);
  double before = 1e9;
  for (const int n : {1, 4, 12, 30}) {
    const double hz = 110.0 * n * std::sqrt((1 + 8e-5 * n * n) / (1 + 8e-5));
    const double exact = signal::peak_hz(sound, 2400, 16384, hz, 15);
    const double t60 = signal::t60_of(sound, exact, 0.1, n > 10 ? 0.5 : 1.0);
    EXPECT_LT(t60, before) << "partial " << n;
    before = t60;
  }
}

// f_n = n f_0 sqrt(1 + B n^2) (Fletcher and Rossing, The Physics of Musical Instruments).
TEST(String, IsStiffAsAsked) {
  for (const int midi : {28, 40, 45, 50, 55, 64}) {
    PluckedString string = make_string(open_hz(midi), midi < 30);
    Strike strike;
    strike.position = 0.09;  // no null among the partials below
    const auto sound = signal::pluck(string, 0, 0.0, 1.5, strike);
    const double b = string.asked_stiffness(0);
    const double first = signal::peak_hz(sound, 2400, 32768, open_hz(midi), 30);
    for (const int n : {4, 8, 12, 16}) {
      const double want = first * n * std::sqrt((1 + b * n * n) / (1 + b));
      const double stretch = 1200 * std::log2(want / (first * n));
      const double heard = 1200 * std::log2(signal::peak_hz(sound, 2400, 32768, want, 25) / (first * n));
      EXPECT_NEAR(heard, stretch, std::max(0.6, (n > 12 ? 0.25 : 0.15) * stretch))
          << "midi " << midi << " partial " << n << " of B " << b;
    }
  }
}

// Plucked at 1/8 of its length a string lacks its 8th and 16th partials (the comb 1 - z^-bN: Jaffe and
// Smith 1983).
TEST(String, LacksThePartialsWithANodeUnderThePick) {
  PluckedString string = make_string(110.0);
  Strike strike;
  strike.position = 0.125;
  strike.noise = 0;
  const auto sound = signal::pluck(string, 0, 0.0, 1.0, strike);
  const auto level = [&](int n) {
    const double hz = 110.0 * n * std::sqrt((1 + 8e-5 * n * n) / (1 + 8e-5));
    return decibels(signal::tone_level(sound, 0, 24000, signal::peak_hz(sound, 0, 24000, hz, 20)));
  };
  EXPECT_LT(level(8), level(7) - 25.0);
  EXPECT_LT(level(8), level(9) - 25.0);
}

TEST(String, SoundsInTheVeryFirstFrameAndNotBefore) {
  PluckedString string = make_string(196.0);
  std::vector<float> out(256, 0.0F);
  string.finger(3, 0, 0);
  for (int i = 0; i < 128; i += 64) string.render(out.data() + i, 64);
  for (int i = 0; i < 128; ++i) EXPECT_EQ(out[static_cast<std::size_t>(i)], 0.0F);
  string.strike({});
  string.render(out.data() + 128, 64);
  EXPECT_NE(out[128], 0.0F);
}

TEST(String, APalmShortensIt) {
  PluckedString string = make_string(82.407);
  const auto open = signal::pluck(string, 0, 0.0, 1.5);
  PluckedString muted_string = make_string(82.407);
  const auto muted = signal::pluck(muted_string, 0, 1.0, 1.5);
  EXPECT_NEAR(signal::t60_of(muted, 82.407, 0.02, 0.35), 0.25, 0.025);  // REFERENCES: E2 muted 0.25 s
  EXPECT_LT(signal::centroid(muted, 0, 4096, 8000), 0.8 * signal::centroid(open, 0, 4096, 8000));
  EXPECT_LT(decibels(signal::tone_level(muted, 24000, 12000, 82.407)),
            decibels(signal::tone_level(open, 24000, 12000, 82.407)) - 40);
}

TEST(String, AHammerOnAndAPullOffReachTheirPitchInTheAskedTime) {
  for (const auto& [from, to] : {std::pair{5, 7}, std::pair{7, 5}, std::pair{5, 8}}) {
    PluckedString string = make_string(196.0);
    auto sound = signal::pluck(string, from, 0.0, 0.5);
    string.finger(to, 0.0, 144);
    std::vector<float> after(24000, 0.0F);
    // From the end of the asked 3 ms on, nothing of the old pitch moves the peak.
    string.render(after.data(), 64);
    string.render(after.data() + 64, 64);
    string.render(after.data() + 128, 16);
    for (std::size_t i = 144; i + 64 <= after.size(); i += 64) string.render(after.data() + i, 64);
    const double want = 196.0 * std::pow(2.0, to / 12.0);
    const double heard = signal::peak_hz(after, 144, 8192, want, 200);
    EXPECT_LT(std::abs(1200 * std::log2(heard / want)), 3.0) << from << " to " << to;
  }
}

TEST(String, ARepluckOfARingingStringMakesNoClick) {
  // A click is a step: the largest difference of neighbouring frames in the 10 ms around the change of
  // length must not pass that of the pluck itself in a still string.
  const auto roughest = [](const std::vector<float>& x, std::size_t from, std::size_t to) {
    double most = 0;
    for (std::size_t i = std::max<std::size_t>(from, 2); i < to; ++i) {
      most = std::max(most, std::abs(static_cast<double>(x[i]) - 2.0 * static_cast<double>(x[i - 1]) +
                                     static_cast<double>(x[i - 2])));
    }
    return most;
  };
  Strike strike;
  strike.noise = 0;
  for (const int fret : {0, 3, 7, 12}) {
    PluckedString still = make_string(110.0);
    const auto alone = signal::pluck(still, fret, 0.0, 0.1, strike);
    PluckedString string = make_string(110.0);
    const auto before = signal::pluck(string, 5, 0.0, 0.2, strike);
    std::vector<float> after(4800, 0.0F);
    string.finger(fret, 0.0, 64);
    string.strike(strike);
    for (std::size_t i = 0; i < after.size(); i += 64) string.render(after.data() + i, 64);
    EXPECT_LT(roughest(after, 0, 480), roughest(alone, 0, 480) + 1.2 * roughest(before, 8000, before.size()))
        << "fret " << fret;
    const auto steepest = [](const std::vector<float>& x, std::size_t from, std::size_t to) {
      double most = 0;
      for (std::size_t i = from; i < to; ++i) most = std::max(most, std::abs(static_cast<double>(x[i] - x[i - 1])));
      return most;
    };
    EXPECT_LT(std::abs(after[0] - before.back()), steepest(alone, 1, 480) + steepest(before, 8000, before.size()));
  }
}

TEST(String, GoesSilentAndStaysFinite) {
  PluckedString string = make_string(1318.5);
  signal::pluck(string, 12, 0.0, 0.1);
  string.damp(0.05, 240);
  std::vector<float> out(96000, 0.0F);
  for (std::size_t i = 0; i < out.size(); i += 64) string.render(out.data() + i, 64);
  EXPECT_TRUE(string.is_idle());
  for (const float x : out) ASSERT_TRUE(std::isfinite(x));
}

}  // namespace
}  // namespace fretloom
