#include "sound/loudness.h"

#include <ebur128.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>

namespace fretloom {
namespace {

struct CloseMeter {
  void operator()(ebur128_state* state) const { ebur128_destroy(&state); }
};

constexpr int k_phases = 4;
constexpr int k_taps = 24;
constexpr int k_half = k_taps / 2;
constexpr int k_block = 256;
constexpr std::int64_t k_look = 240;  ///< frames, 5 ms

/// Windowed-sinc interpolation to four times the rate; phase 0 is the sample itself.
std::array<std::array<float, k_taps>, k_phases> interpolator() {
  std::array<std::array<float, k_taps>, k_phases> out{};
  for (int phase = 0; phase < k_phases; ++phase) {
    double sum = 0;
    std::array<double, k_taps> h{};
    for (int t = 0; t < k_taps; ++t) {
      const double x = t - (k_half - 1) - phase / static_cast<double>(k_phases);
      const double sinc = std::abs(x) < 1e-12 ? 1.0 : std::sin(M_PI * x) / (M_PI * x);
      const double window = 0.5 + 0.5 * std::cos(M_PI * x / k_half);
      h[t] = sinc * window;
      sum += h[t];
    }
    for (int t = 0; t < k_taps; ++t) out[phase][t] = static_cast<float>(h[t] / sum);
  }
  return out;
}

/// The highest interpolated value near each frame, over both channels. Beyond the ends: silence, or the
/// other end of a loop.
std::vector<float> peak_envelope(const Audio& audio, bool loop) {
  const auto taps = interpolator();
  const std::int64_t frames = audio.frames();
  std::vector<float> out(static_cast<std::size_t>(frames), 0.0F);
  std::vector<float> line(static_cast<std::size_t>(frames) + k_taps);
  for (int channel = 0; channel < k_channels; ++channel) {
    for (std::int64_t i = 0; i < static_cast<std::int64_t>(line.size()); ++i) {
      std::int64_t f = i - (k_half - 1);
      if (loop) f = (f % frames + frames) % frames;
      const bool inside = f >= 0 && f < frames;
      line[static_cast<std::size_t>(i)] =
          inside ? audio.samples[static_cast<std::size_t>(f) * k_channels + channel] : 0.0F;
    }
    // Tap by tap over a block of frames, so that the compiler may take several frames at a time.
    for (std::int64_t f = 0; f < frames; f += k_block) {
      const std::int64_t count = std::min<std::int64_t>(k_block, frames - f);
      const float* x = line.data() + f;
      float* peak = out.data() + f;
      for (std::int64_t i = 0; i < count; ++i) peak[i] = std::max(peak[i], std::abs(x[i + k_half - 1]));
      for (int phase = 1; phase < k_phases; ++phase) {
        std::array<float, k_block> sum{};
        for (int t = 0; t < k_taps; ++t) {
          const float h = taps[phase][t];
          for (std::int64_t i = 0; i < count; ++i) sum[static_cast<std::size_t>(i)] += h * x[i + t];
        }
        for (std::int64_t i = 0; i < count; ++i)
          peak[i] = std::max(peak[i], std::abs(sum[static_cast<std::size_t>(i)]));
      }
    }
  }
  return out;
}

/// Smallest gain within `k_look` frames either way, then the mean over as many: the sides of a dip are
/// smooth and the dip is deep enough where the peak is.
std::vector<float> smooth_dips(const std::vector<float>& wanted, bool loop) {
  const auto frames = static_cast<std::int64_t>(wanted.size());
  const auto at = [&](std::int64_t f) {
    if (loop) return wanted[static_cast<std::size_t>((f % frames + frames) % frames)];
    return f < 0 || f >= frames ? 1.0F : wanted[static_cast<std::size_t>(f)];
  };
  // The minimum over a sliding window by blocks (van Herk): two running minima a block.
  const std::int64_t width = 2 * k_look + 1;
  const std::int64_t total = frames + 4 * k_look;
  std::vector<float> forward(static_cast<std::size_t>(total));
  std::vector<float> backward(static_cast<std::size_t>(total));
  for (std::int64_t i = 0; i < total; ++i) {
    const float x = at(i - 2 * k_look);
    forward[static_cast<std::size_t>(i)] = i % width == 0 ? x : std::min(x, forward[static_cast<std::size_t>(i - 1)]);
  }
  for (std::int64_t i = total - 1; i >= 0; --i) {
    const float x = at(i - 2 * k_look);
    const bool last = i == total - 1 || i % width == width - 1;
    backward[static_cast<std::size_t>(i)] = last ? x : std::min(x, backward[static_cast<std::size_t>(i + 1)]);
  }
  std::vector<double> sum(static_cast<std::size_t>(frames + 2 * k_look) + 1, 0.0);
  for (std::int64_t i = 0; i + width <= total; ++i) {
    const float least =
        std::min(backward[static_cast<std::size_t>(i)], forward[static_cast<std::size_t>(i + width - 1)]);
    sum[static_cast<std::size_t>(i) + 1] = sum[static_cast<std::size_t>(i)] + static_cast<double>(least);
  }
  std::vector<float> out(wanted.size());
  for (std::int64_t f = 0; f < frames; ++f) {
    const double mean =
        (sum[static_cast<std::size_t>(f + width)] - sum[static_cast<std::size_t>(f)]) / static_cast<double>(width);
    out[static_cast<std::size_t>(f)] = static_cast<float>(mean);
  }
  return out;
}

double decibels(double amplitude) { return 20.0 * std::log10(std::max(amplitude, 1e-10)); }

using Meter = std::unique_ptr<ebur128_state, CloseMeter>;

/// Integrated loudness alone, the quick way. What plays in a player is the loop again and again: two turns
/// of it are measured.
Result<double> integrated(const Audio& audio, bool loop) {
  if (audio.frames() == 0) return Error{ErrorKind::range, 0, "no sound to measure", {}};
  const Meter meter(ebur128_init(k_channels, k_sample_rate, EBUR128_MODE_I));
  for (int turn = 0; turn < (loop ? 2 : 1); ++turn) {
    if (!meter || ebur128_add_frames_float(meter.get(), audio.samples.data(),
                                           static_cast<std::size_t>(audio.frames())) != EBUR128_SUCCESS) {
      return Error{ErrorKind::limit, 0, "the loudness meter failed", {}};
    }
  }
  double loudness = 0;
  ebur128_loudness_global(meter.get(), &loudness);
  return std::isfinite(loudness) ? loudness : -200.0;
}

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
  const auto start = integrated(mix, options.loop);
  if (!start) return start.error();
  const std::vector<float> peaks = peak_envelope(mix, options.loop);
  // A tenth of a decibel is left for what four-fold interpolation does not see.
  const double ceiling = std::pow(10.0, (options.ceiling_dbtp - 0.1) / 20.0);
  if (*start < -70.0) {
    const double peak = static_cast<double>(*std::max_element(peaks.begin(), peaks.end()));
    const double factor = peak > 0 ? std::min(1.0, std::pow(10.0, -12.0 / 20.0) / peak) : 1.0;
    return std::vector<float>(peaks.size(), static_cast<float>(factor));
  }
  double db = options.target_lufs - *start;
  std::vector<float> gain(peaks.size());
  // The dips take a little loudness away; a few rounds give it back.
  for (int round = 0; round < 8; ++round) {
    const double factor = std::pow(10.0, db / 20.0);
    std::vector<float> wanted(peaks.size());
    bool dips = false;
    for (std::size_t i = 0; i < peaks.size(); ++i) {
      const double peak = static_cast<double>(peaks[i]) * factor;
      dips = dips || peak > ceiling;
      wanted[i] = peak > ceiling ? static_cast<float>(ceiling / peak) : 1.0F;
    }
    gain = dips ? smooth_dips(wanted, options.loop) : wanted;
    for (float& g : gain) g = static_cast<float>(static_cast<double>(g) * factor);
    if (!dips) break;
    Audio levelled = mix;
    apply_gain(levelled, gain);
    const auto now = integrated(levelled, options.loop);
    if (!now) return now.error();
    if (std::abs(options.target_lufs - *now) < 0.02) break;
    db += options.target_lufs - *now;
  }
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
