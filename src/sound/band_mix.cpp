#include "sound/band_mix.h"

#include <algorithm>
#include <optional>

#include "score/limits.h"

namespace fretloom {

namespace {

constexpr std::int64_t k_most_frames = 30LL * 60 * k_sample_rate;
constexpr std::int64_t k_choke = k_sample_rate / 200;  // 5 ms

/// A sample's frames from `frame` of the loop on, round its end, up to `until` frames of it.
void add_round(Audio& loop, const Sample& sample, std::int64_t frame, std::optional<std::int64_t> choked) {
  const std::int64_t frames = loop.frames();
  std::int64_t at = floor_mod(frame - sample.attack, frames);
  const std::int64_t end = choked ? std::min(sample.audio.frames(), *choked + k_choke) : sample.audio.frames();
  for (std::int64_t i = 0; i < end; ++i) {
    const float gain =
        choked && i > *choked ? 1.0F - static_cast<float>(i - *choked) / static_cast<float>(k_choke) : 1.0F;
    for (std::int64_t side = 0; side < k_channels; ++side)
      loop.samples[static_cast<std::size_t>(at * k_channels + side)] +=
          gain * sample.audio.samples[static_cast<std::size_t>(i * k_channels + side)];
    if (++at == frames) at = 0;
  }
}

bool is_hat(int key) {
  const auto drum = static_cast<DrumKey>(key);
  return drum == DrumKey::closed_hat || drum == DrumKey::open_hat || drum == DrumKey::pedal_hat;
}

/// Frames from a note's onset to the next hat after it, round the loop.
std::optional<std::int64_t> next_hat(const BandPart& part, std::size_t from, const Rational& bpm, std::int64_t frames) {
  const std::int64_t onset = frame_of(part.notes[from].onset.value, bpm);
  for (std::size_t i = 1; i < part.notes.size(); ++i) {
    const BandNote& next = part.notes[(from + i) % part.notes.size()];
    if (is_hat(next.key)) return floor_mod(frame_of(next.onset.value, bpm) - onset, frames);
  }
  return std::nullopt;
}

int rounded_velocity(int velocity, int step) { return std::clamp((velocity + step / 2) / step * step, 1, 127); }

}  // namespace

Result<Audio> mix_band(const Band& band, const Rational& bpm, BandSamples& samples, const std::vector<BandRole>& roles,
                       const StopFlag* stop) {
  if (bpm < Rational(k_slowest_bpm) || bpm > Rational(k_fastest_bpm))
    return Error{ErrorKind::range, 0, "the band plays from 10 to 600 beats a minute", {}};
  const std::int64_t frames = frame_of(band.length.value, bpm);
  if (frames > k_most_frames) return Error{ErrorKind::limit, 0, "more than 30 minutes of sound", {}};
  Audio loop;
  loop.samples.resize(static_cast<std::size_t>(frames) * k_channels);
  for (const BandRole role : roles) {
    const BandPart* part = band.part(role);
    if (part == nullptr || role == BandRole::bass || role == BandRole::guitar) continue;
    const bool drums = role == BandRole::drums;
    for (std::size_t i = 0; i < part->notes.size(); ++i) {
      if (stop != nullptr && stop->load()) return stopped();
      const BandNote& note = part->notes[i];
      const std::int64_t onset = frame_of(note.onset.value, bpm);
      SampledStroke stroke{role, note.key,
                           rounded_velocity(note.velocity, drums ? k_drum_velocity_step : k_keys_velocity_step), 0};
      if (!drums) stroke.held = frame_of(note.onset.value + note.duration.value, bpm) - onset;
      const auto sample = samples.sample(stroke);
      if (!sample) return sample.error();
      const bool is_open = drums && static_cast<DrumKey>(note.key) == DrumKey::open_hat;
      const auto choked = is_open ? next_hat(*part, i, bpm, frames) : std::nullopt;
      add_round(loop, **sample, onset, choked ? std::optional(*choked + (*sample)->attack) : std::nullopt);
    }
  }
  return loop;
}

}  // namespace fretloom
