#include "sound/loudness.h"

#include <ebur128.h>

#include <algorithm>
#include <cmath>
#include <memory>

namespace fretloom {
namespace {

struct CloseMeter {
  void operator()(ebur128_state* state) const { ebur128_destroy(&state); }
};

double decibels(double amplitude) { return 20.0 * std::log10(std::max(amplitude, 1e-10)); }

using Meter = std::unique_ptr<ebur128_state, CloseMeter>;

}  // namespace

Result<Loudness> measure_loudness(const Audio& audio) {
  if (audio.frames() == 0) return Error{ErrorKind::range, 0, "no sound to measure", {}};
  const int modes =
      EBUR128_MODE_I | EBUR128_MODE_LRA | EBUR128_MODE_TRUE_PEAK | EBUR128_MODE_SAMPLE_PEAK | EBUR128_MODE_M;
  const Meter meter(ebur128_init(k_channels, k_sample_rate, modes));
  if (!meter) return Error{ErrorKind::limit, 0, "no memory for the loudness meter", {}};
  Loudness out;
  out.loudest_moment_lufs = -200;
  constexpr std::int64_t step = k_sample_rate / 10;
  for (std::int64_t f = 0; f < audio.frames(); f += step) {
    const auto count = static_cast<std::size_t>(std::min(step, audio.frames() - f));
    if (ebur128_add_frames_float(meter.get(), audio.samples.data() + f * k_channels, count) != EBUR128_SUCCESS) {
      return Error{ErrorKind::limit, 0, "the loudness meter failed", {}};
    }
    double moment = 0;
    if (ebur128_loudness_momentary(meter.get(), &moment) == EBUR128_SUCCESS && std::isfinite(moment)) {
      out.loudest_moment_lufs = std::max(out.loudest_moment_lufs, moment);
    }
  }
  double peak = 0;
  double sample_peak = 0;
  for (unsigned channel = 0; channel < k_channels; ++channel) {
    double x = 0;
    if (ebur128_true_peak(meter.get(), channel, &x) == EBUR128_SUCCESS) peak = std::max(peak, x);
    if (ebur128_sample_peak(meter.get(), channel, &x) == EBUR128_SUCCESS) sample_peak = std::max(sample_peak, x);
  }
  double loudness = 0;
  ebur128_loudness_global(meter.get(), &loudness);
  out.integrated_lufs = std::isfinite(loudness) ? loudness : -200.0;
  ebur128_loudness_range(meter.get(), &out.range_lu);
  out.true_peak_dbtp = decibels(std::max(peak, sample_peak));
  out.sample_peak_db = decibels(sample_peak);
  return out;
}

Result<std::vector<float>> level_gain(const Audio& mix, const LevelOptions& options) {
  if (mix.frames() == 0) return Error{ErrorKind::range, 0, "no sound to level", {}};
  LevelMeter meter(mix.frames(), options.loop);
  meter.add(mix.samples.data(), nullptr, mix.frames());
  const Levels levels = meter.levels(options);
  std::vector<float> gain(static_cast<std::size_t>(mix.frames()));
  for (std::size_t f = 0; f < gain.size(); ++f) gain[f] = levels.music_at(static_cast<std::int64_t>(f));
  return gain;
}

void apply_gain(Audio& audio, const std::vector<float>& gain) {
  for (std::size_t f = 0; f < gain.size(); ++f) {
    audio.samples[f * k_channels] *= gain[f];
    audio.samples[f * k_channels + 1] *= gain[f];
  }
}

Audio mix(const Audio& a, const Audio& b, float factor) {
  Audio out = a;
  for (std::size_t i = 0; i < out.samples.size(); ++i) out.samples[i] += factor * b.samples[i];
  return out;
}

}  // namespace fretloom
