#include "sound/band_samples.h"

#include <fluidsynth.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <vector>

namespace fretloom {

namespace {

constexpr std::int64_t k_block = 64;  // frames that FluidSynth works in
constexpr std::int64_t k_longest_ring = 8LL * k_sample_rate;
constexpr std::int64_t k_attack_window = k_sample_rate / 2;
constexpr std::int64_t k_envelope = k_sample_rate / 2000;  // frames of a point of the envelope
constexpr int k_drum_channel = 9;
constexpr float k_silence = 1e-4F;  // -80 dBFS
constexpr std::int64_t k_silent_for = 4096;
constexpr std::int64_t k_fade = 256;

struct DeleteSettings {
  void operator()(fluid_settings_t* settings) const { delete_fluid_settings(settings); }
};
struct DeleteSynth {
  void operator()(fluid_synth_t* synth) const { delete_fluid_synth(synth); }
};
using Settings = std::unique_ptr<fluid_settings_t, DeleteSettings>;
using Synth = std::unique_ptr<fluid_synth_t, DeleteSynth>;

/// One voice, dry: the room is the mix's.
Settings make_settings() {
  Settings settings(new_fluid_settings());
  fluid_settings_setnum(settings.get(), "synth.sample-rate", k_sample_rate);
  fluid_settings_setnum(settings.get(), "synth.gain", 1.0);
  fluid_settings_setint(settings.get(), "synth.reverb.active", 0);
  fluid_settings_setint(settings.get(), "synth.chorus.active", 0);
  fluid_settings_setint(settings.get(), "synth.polyphony", 16);
  fluid_settings_setint(settings.get(), "synth.threadsafe-api", 0);
  fluid_settings_setint(settings.get(), "synth.dynamic-sample-loading", 1);
  return settings;
}

void append(fluid_synth_t* synth, Audio& audio) {
  std::array<float, k_block> left{};
  std::array<float, k_block> right{};
  fluid_synth_write_float(synth, k_block, left.data(), 0, 1, right.data(), 0, 1);
  for (std::size_t i = 0; i < left.size(); ++i) {
    audio.samples.push_back(left[i]);
    audio.samples.push_back(right[i]);
  }
}

float peak(const Audio& audio, std::int64_t from, std::int64_t to) {
  float found = 0;
  for (auto i = static_cast<std::size_t>(std::max<std::int64_t>(from, 0)) * k_channels;
       i < static_cast<std::size_t>(to) * k_channels; ++i)
    found = std::max(found, std::abs(audio.samples[i]));
  return found;
}

/// The middle of the first half millisecond whose power, both sides summed, is a fourth of the loudest one's in the
/// first half second: half its height.
std::int64_t attack_of(const Audio& audio) {
  const std::int64_t end = std::min(audio.frames(), k_attack_window);
  const auto power = [&](std::int64_t frame) {
    const auto at = static_cast<std::size_t>(frame) * k_channels;
    const double left = audio.samples[at];
    const double right = audio.samples[at + 1];
    return left * left + right * right;
  };
  std::vector<double> windows;  // by their first frame
  double sum = 0;
  for (std::int64_t frame = 0; frame < end; ++frame) {
    sum += power(frame);
    if (frame >= k_envelope) sum -= power(frame - k_envelope);
    if (frame + 1 >= k_envelope) windows.push_back(sum);
  }
  if (windows.empty()) return 0;
  const double fourth = *std::max_element(windows.begin(), windows.end()) / 4;
  const auto first = std::find_if(windows.begin(), windows.end(), [&](double window) { return window >= fourth; });
  return first - windows.begin() + k_envelope / 2;
}

/// Cuts the silence behind it and fades its last frames.
void trim(Audio& audio) {
  std::int64_t end = audio.frames();
  while (end > k_block && peak(audio, end - k_block, end) < k_silence) end -= k_block;
  audio.samples.resize(static_cast<std::size_t>(end) * k_channels);
  for (std::int64_t i = 1; i <= std::min(k_fade, end); ++i) {
    const float gain = static_cast<float>(i - 1) / static_cast<float>(k_fade);
    for (std::int64_t side = 0; side < k_channels; ++side)
      audio.samples[static_cast<std::size_t>((end - i) * k_channels + side)] *= gain;
  }
}

}  // namespace

/// The synth that loaded the font owns it; those of the strokes borrow it one after the other.
struct BandSamples::Font {
  Settings settings = make_settings();
  Synth owner;
  fluid_sfont_t* font = nullptr;
};

BandSamples::BandSamples(std::unique_ptr<Font> font) : font_(std::move(font)) {}
BandSamples::BandSamples(BandSamples&&) noexcept = default;
BandSamples& BandSamples::operator=(BandSamples&&) noexcept = default;
BandSamples::~BandSamples() = default;

Result<BandSamples> BandSamples::open(const std::string& path) {
  // A synth that borrows its font complains of every channel before it has it; what fails is told by our own errors.
  for (const int level : {FLUID_PANIC, FLUID_ERR, FLUID_WARN}) fluid_set_log_function(level, nullptr, nullptr);
  const Error missing{ErrorKind::io,
                      0,
                      "the sounds of drums and keys are missing: " + path +
                          " is no SoundFont; on Debian install the package fluid-soundfont-gm",
                      {}};
  std::error_code error;
  if (!std::filesystem::is_regular_file(path, error) || fluid_is_soundfont(path.c_str()) == 0) return missing;
  auto font = std::make_unique<Font>();
  font->owner.reset(new_fluid_synth(font->settings.get()));
  if (font->owner == nullptr) return missing;
  const int id = fluid_synth_sfload(font->owner.get(), path.c_str(), 1);
  if (id == FLUID_FAILED) return missing;
  font->font = fluid_synth_get_sfont_by_id(font->owner.get(), id);
  // Only samples of chosen programs are read; chosen here as well, they stay between the strokes.
  int channel = 0;
  for (const BandRole role : k_band_roles) {
    if (const auto program = midi_program(role)) fluid_synth_program_change(font->owner.get(), channel++, *program);
  }
  return BandSamples(std::move(font));
}

Result<const Sample*> BandSamples::sample(const SampledStroke& stroke) {
  if (const auto known = samples_.find(stroke); known != samples_.end()) return &known->second;
  const Error refused{ErrorKind::io, 0, "FluidSynth cannot play a stroke of the band", {}};
  const Synth synth(new_fluid_synth(font_->settings.get()));
  if (synth == nullptr || fluid_synth_add_sfont(synth.get(), font_->font) == FLUID_FAILED) return refused;
  const int channel = stroke.role == BandRole::drums ? k_drum_channel : 0;
  if (channel == k_drum_channel) fluid_synth_program_change(synth.get(), channel, 0);
  if (const auto program = midi_program(stroke.role)) fluid_synth_program_change(synth.get(), channel, *program);
  Sample made;
  const bool plays = fluid_synth_noteon(synth.get(), channel, stroke.key, stroke.velocity) == FLUID_OK;
  if (plays) {
    const bool rings_out = stroke.role == BandRole::drums;
    std::int64_t silent = 0;
    bool is_held = !rings_out;
    const std::int64_t longest = (rings_out ? 0 : stroke.held) + k_longest_ring;
    while (made.audio.frames() < longest && (is_held || silent < k_silent_for)) {
      if (is_held && made.audio.frames() >= stroke.held) {
        fluid_synth_noteoff(synth.get(), channel, stroke.key);
        is_held = false;
      }
      append(synth.get(), made.audio);
      const std::int64_t now = made.audio.frames();
      silent = peak(made.audio, now - k_block, now) < k_silence ? silent + k_block : 0;
    }
    made.attack = attack_of(made.audio);
    trim(made.audio);
  }
  fluid_synth_remove_sfont(synth.get(), font_->font);
  if (!plays) return refused;
  return &samples_.emplace(stroke, std::move(made)).first->second;
}

}  // namespace fretloom
