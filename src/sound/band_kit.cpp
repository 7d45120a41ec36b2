#include "sound/band_kit.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "base/text.h"
#include "score/ladder.h"
#include "sound/audio_file.h"

namespace fretloom {
namespace {

constexpr float k_coded_peak = 0.6F;
constexpr std::int64_t k_grid = 960;  ///< frames that Opus codes together
constexpr std::int64_t k_gap = 960;   ///< silence between sounds
constexpr int k_keys_apart = 3;       ///< semitones
constexpr std::int64_t k_fade = 15LL * k_sample_rate / 100;

double seconds_of(const HitSound& sound) {
  if (sound.role == BandRole::drone) return 6.0;
  if (sound.role == BandRole::keys) return 2.2;
  switch (static_cast<DrumKey>(sound.key)) {
    case DrumKey::crash: return 1.6;
    case DrumKey::ride: return 1.0;
    case DrumKey::open_hat:
    case DrumKey::low_tom:
    case DrumKey::middle_tom:
    case DrumKey::high_tom: return 0.8;
    default: return 0.5;
  }
}

/// The sound as long as the kit has it.
std::vector<float> cut(const Sample& sample, const HitSound& sound) {
  std::vector<float> mono = sample.mono;
  const auto most = static_cast<std::size_t>(seconds_of(sound) * k_sample_rate);
  if (mono.size() <= most) return mono;
  mono.resize(most);
  for (std::int64_t i = 0; i < k_fade; ++i)
    mono[most - 1 - static_cast<std::size_t>(i)] *= static_cast<float>(i) / static_cast<float>(k_fade);
  return mono;
}

std::string number(double value) {
  const double rounded = std::round(value * 100000.0) / 100000.0;
  return number_text(rounded);
}

}  // namespace

Result<std::vector<HitSound>> kit_sounds(const Handout& handout, const BandOptions& options) {
  std::set<HitSound> sounds;
  for (const IdeaSheet& idea : handout.ideas) {
    if (&first_over(handout, idea) != &idea) continue;
    BandOptions own = shared_band(handout, idea, options);
    for (const Rational& bpm : ladder(idea.slow_bpm, idea.goal_bpm)) {
      own.bpm = bpm;
      const auto band = play_vamp(idea, own);
      if (!band) return in_idea(idea, band.error());
      Timeline timeline;
      timeline.loop = true;
      timeline.frames = frame_of(band->length.value, bpm);
      timeline.stretches = {{0, bpm, band->length}};
      const auto laid_out = lay_out_band(idea, timeline, own);
      if (!laid_out) return laid_out.error();
      sounds.insert(laid_out->sounds.begin(), laid_out->sounds.end());
    }
  }
  std::vector<HitSound> kept;
  for (const HitSound& sound : sounds) {
    const bool moves = !kept.empty() && sound.role != BandRole::drums && sound.role == kept.back().role;
    if (!moves || sound.key - kept.back().key >= k_keys_apart) kept.push_back(sound);
  }
  return kept;
}

Result<BandKit> make_kit(const std::vector<HitSound>& sounds, BandSamples& samples) {
  BandKit kit;
  Audio all;
  std::string list;
  for (const HitSound& sound : sounds) {
    const auto sample = samples.sample(sound);
    if (!sample) return sample.error();
    const std::vector<float> mono = cut(**sample, sound);
    float peak = 1e-6F;
    for (const float x : mono) peak = std::max(peak, std::abs(x));
    const std::int64_t first = all.frames();
    for (const float x : mono) {
      const float coded = x * k_coded_peak / peak;
      all.samples.push_back(coded);
      all.samples.push_back(coded);
    }
    const std::int64_t next = (all.frames() + k_gap + k_grid - 1) / k_grid * k_grid;
    all.samples.resize(static_cast<std::size_t>(next) * k_channels);
    const Seat seat = seat_of(sound.role, sound.key);
    list += std::string(list.empty() ? "" : ",") + "{\"role\":\"" + std::string(name(sound.role)) +
            "\",\"key\":" + std::to_string(sound.key) + ",\"velocity\":" + std::to_string(sound.velocity) +
            ",\"first\":" + std::to_string(first) + ",\"frames\":" + std::to_string(mono.size()) +
            ",\"attack\":" + std::to_string((*sample)->attack) +
            ",\"gain\":" + number(static_cast<double>(peak / k_coded_peak)) + ",\"pan\":" + number(seat.pan) +
            ",\"seat\":" + number(std::pow(10.0, seat.gain_db / 20.0)) + ",\"room\":" + number(seat.room) + "}";
  }
  kit.index = "{\"rate\":" + std::to_string(k_sample_rate) + ",\"sounds\":[" + list + "]}\n";
  AudioTags tags;
  tags.title = "Sounds of drums and keys";
  tags.comment = "Rendered from FluidR3 GM";
  tags.licence = "MIT";
  auto audio = encode(all, AudioFormat::opus, tags, AudioSize::small);
  if (!audio) return audio.error();
  kit.audio = std::move(audio).value();
  return kit;
}

}  // namespace fretloom
