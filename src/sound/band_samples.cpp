#include "sound/band_samples.h"

#include <fluidsynth.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <vector>

namespace fretloom {

namespace {

constexpr std::size_t k_block = 64;  // frames that FluidSynth works in
constexpr std::int64_t k_longest_ring = 8LL * k_sample_rate;
constexpr std::int64_t k_longest_held = 8LL * k_sample_rate;
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

/// The next block; both sides' mean.
void append(fluid_synth_t* synth, std::vector<float>& mono) {
  std::array<float, k_block> left{};
  std::array<float, k_block> right{};
  fluid_synth_write_float(synth, k_block, left.data(), 0, 1, right.data(), 0, 1);
  for (std::size_t i = 0; i < left.size(); ++i) mono.push_back(0.5F * (left[i] + right[i]));
}

float peak(const std::vector<float>& mono, std::size_t from) {
  float found = 0;
  for (std::size_t i = from; i < mono.size(); ++i) found = std::max(found, std::abs(mono[i]));
  return found;
}

/// The middle of the first half millisecond whose power is a fourth of the loudest one's in the first half second: half
/// its height.
std::int64_t attack_of(const std::vector<float>& mono) {
  const auto end = std::min(static_cast<std::int64_t>(mono.size()), k_attack_window);
  const auto power = [&](std::int64_t frame) {
    const double x = mono[static_cast<std::size_t>(frame)];
    return x * x;
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
void trim(std::vector<float>& mono) {
  while (mono.size() > k_block && peak(mono, mono.size() - k_block) < k_silence) mono.resize(mono.size() - k_block);
  const std::size_t fade = std::min<std::size_t>(k_fade, mono.size());
  for (std::size_t i = 1; i <= fade; ++i)
    mono[mono.size() - i] *= static_cast<float>(i - 1) / static_cast<float>(k_fade);
}

}  // namespace

/// The synth that loaded the font owns it; those of the sounds borrow it one after the other.
struct BandSamples::Font {
  Settings settings = make_settings();
  Synth owner;
  fluid_sfont_t* font = nullptr;
};

BandSamples::BandSamples(std::string path) : path_(std::move(path)) {}
BandSamples::~BandSamples() = default;

Result<void> BandSamples::check() const {
  std::error_code error;
  if (std::filesystem::is_regular_file(path_, error) && fluid_is_soundfont(path_.c_str()) != 0) return {};
  return Error{ErrorKind::io,
               0,
               "the sounds of drums and keys are missing: " + path_ +
                   " is not a SoundFont; on Debian install the package fluid-soundfont-gm",
               {}};
}

Result<void> BandSamples::open() {
  // A synth that borrows its font complains of every channel before it has it; what fails is told by our own errors.
  for (const int level : {FLUID_PANIC, FLUID_ERR, FLUID_WARN}) fluid_set_log_function(level, nullptr, nullptr);
  if (auto there = check(); !there) return there;
  const Error refused{ErrorKind::io, 0, "FluidSynth cannot read " + path_, {}};
  auto font = std::make_unique<Font>();
  font->owner.reset(new_fluid_synth(font->settings.get()));
  if (font->owner == nullptr) return refused;
  const int id = fluid_synth_sfload(font->owner.get(), path_.c_str(), 1);
  if (id == FLUID_FAILED) return refused;
  font->font = fluid_synth_get_sfont_by_id(font->owner.get(), id);
  // Only samples of chosen programs are read; chosen here as well, they stay between the sounds.
  int channel = 0;
  for (const BandRole role : {BandRole::keys, BandRole::drone})
    fluid_synth_program_change(font->owner.get(), channel++, *midi_program(role));
  font_ = std::move(font);
  return {};
}

Result<const Sample*> BandSamples::sample(const HitSound& sound) {
  const std::lock_guard lock(mutex_);
  if (const auto known = samples_.find(sound); known != samples_.end()) return &known->second;
  if (font_ == nullptr) {
    if (const auto opened = open(); !opened) return opened.error();
  }
  auto made = render(sound);
  if (!made) return made.error();
  return &samples_.emplace(sound, std::move(made).value()).first->second;
}

std::size_t BandSamples::rendered() const {
  const std::lock_guard lock(mutex_);
  return samples_.size();
}

Result<Sample> BandSamples::render(const HitSound& sound) const {
  const Error refused{ErrorKind::io, 0, "FluidSynth cannot play a sound of the band", {}};
  const Synth synth(new_fluid_synth(font_->settings.get()));
  if (synth == nullptr || fluid_synth_add_sfont(synth.get(), font_->font) == FLUID_FAILED) return refused;
  const bool is_drum = sound.role == BandRole::drums;
  const int channel = is_drum ? k_drum_channel : 0;
  fluid_synth_program_change(synth.get(), channel, midi_program(sound.role).value_or(0));
  Sample made;
  const bool plays = fluid_synth_noteon(synth.get(), channel, sound.key, sound.velocity) == FLUID_OK;
  if (plays) {
    const auto longest = static_cast<std::size_t>(is_drum ? k_longest_ring : k_longest_held);
    std::int64_t silent = 0;
    while (made.mono.size() < longest && silent < k_silent_for) {
      append(synth.get(), made.mono);
      silent =
          peak(made.mono, made.mono.size() - k_block) < k_silence ? silent + static_cast<std::int64_t>(k_block) : 0;
    }
    made.attack = attack_of(made.mono);
    trim(made.mono);
  }
  fluid_synth_remove_sfont(synth.get(), font_->font);
  if (!plays) return refused;
  return made;
}

}  // namespace fretloom
