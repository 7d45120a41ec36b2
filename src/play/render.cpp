#include "play/render.h"

#include <algorithm>
#include <array>
#include <memory>

#include "base/text.h"
#include "neck/tuning.h"
#include "sound/kernel/voice.h"

namespace fretloom {
namespace {

constexpr std::int64_t k_chunk = 4096;
/// The count-in is heard alone and stands as loud as the lick: it rings longer, and 5 dB over the click.
constexpr float k_count_in_level = 1.778F;

// The kernel includes nothing of the other rooms and keeps a number of its own.
static_assert(voice::k_strings == k_max_strings);

int usual_voicing(const Instrument& instrument) {
  return parse_voicing(instrument.is_bass() ? "deep" : "bright").value_or(0);
}

StringPart part_of(const Instrument& instrument, const Timeline& timeline, const RenderOptions& options) {
  StringPart part{
      {}, instrument.is_bass(), options.voicing.value_or(usual_voicing(instrument)), options.manner, timeline.notes};
  for (int string = instrument.strings(); string >= 1; --string) part.open.push_back(instrument.neck.open_midi(string));
  return part;
}

}  // namespace

std::vector<std::string_view> voicing_names() {
  std::vector<std::string_view> names;
  for (int i = 0; i < voice::k_voicings; ++i) names.emplace_back(voice::voicing(i).name);
  return names;
}

std::optional<int> parse_voicing(std::string_view name) {
  const auto names = voicing_names();
  const auto found = std::find(names.begin(), names.end(), lower(trim(name)));
  if (found == names.end()) return std::nullopt;
  return static_cast<int>(found - names.begin());
}

std::optional<std::string_view> renamed_voicing(std::string_view name) {
  constexpr std::array<std::pair<std::string_view, std::string_view>, 6> renamed = {{{"direct", "plain"},
                                                                                     {"clean", "bright"},
                                                                                     {"warm", "dark"},
                                                                                     {"crunch", "gritty"},
                                                                                     {"lead", "singing"},
                                                                                     {"bass", "deep"}}};
  const std::string wanted = lower(trim(name));
  for (const auto& [old, now] : renamed) {
    if (old == wanted) return now;
  }
  return std::nullopt;
}

class Player::Clicks {
 public:
  explicit Clicks(const Timeline& timeline)
      : knocks_(timeline.knocks), frames_(timeline.frames), loop_(timeline.loop), alone_(timeline.notes.empty()) {}

  void rewind() { next_ = 0; }

  void read(float* out, std::int64_t from, std::int64_t count) {
    std::fill(out, out + k_channels * count, 0.0F);
    if (loop_ && from < voice::k_knock_frames) {  // a knock at the end of a loop goes on at its start
      for (const TimedKnock& knock : knocks_) {
        for (std::int64_t at = knock.frame - frames_; at + voice::k_knock_frames > from; at -= frames_)
          add(knock, at, out, from, count);
      }
    }
    while (next_ < knocks_.size() && knocks_[next_].frame + voice::k_knock_frames <= from) ++next_;
    for (std::size_t k = next_; k < knocks_.size() && knocks_[k].frame < from + count; ++k)
      add(knocks_[k], knocks_[k].frame, out, from, count);
  }

 private:
  void add(const TimedKnock& knock, std::int64_t at, float* out, std::int64_t from, std::int64_t count) {
    std::array<float, voice::k_knock_frames> one{};
    const std::int64_t first = std::max<std::int64_t>(from - at, 0);
    const std::int64_t last = std::min<std::int64_t>(from + count - at, voice::k_knock_frames);
    if (first >= last) return;
    const voice::Ring ring = knock.count_in || alone_ ? voice::Ring::open : voice::Ring::dry;
    const float level = knock.count_in ? k_count_in_level : 1.0F;
    voice::add_knock(knock.knock, ring, level, static_cast<int>(first), one.data(), static_cast<int>(last - first));
    for (std::int64_t i = first; i < last; ++i) {
      const float x = one[static_cast<std::size_t>(i - first)];
      out[k_channels * (at + i - from)] += x;
      out[k_channels * (at + i - from) + 1] += x;
    }
  }

  std::vector<TimedKnock> knocks_;
  std::int64_t frames_;
  bool loop_;
  bool alone_;  ///< nothing else sounds
  std::size_t next_ = 0;
};

Player::Player(const Instrument& instrument, const Timeline& timeline, const RenderOptions& options)
    : strings_(std::make_unique<StringTrack>(part_of(instrument, timeline, options), timeline.frames, timeline.loop)),
      clicks_(std::make_unique<Clicks>(timeline)),
      frames_(timeline.frames) {}

Player::~Player() = default;

void Player::rewind() {
  strings_->rewind();
  clicks_->rewind();
  done_ = 0;
}

std::int64_t Player::read(float* strings, float* click, std::int64_t count) {
  count = std::min(count, frames_ - done_);
  strings_->read(strings, count);
  clicks_->read(click, done_, count);
  done_ += count;
  return count;
}

Result<Tracks> render(const Instrument& instrument, const Timeline& timeline, const RenderOptions& options,
                      const StopFlag* stop, const Progress& progress) {
  Player player(instrument, timeline, options);
  Tracks out;
  const auto size = static_cast<std::size_t>(timeline.frames * k_channels);
  out.strings.samples.resize(size);
  out.click.samples.resize(size);
  for (std::int64_t done = 0; done < timeline.frames;) {
    if (stop != nullptr && stop->load(std::memory_order_relaxed)) return stopped();
    float* strings = out.strings.samples.data() + done * k_channels;
    done += player.read(strings, out.click.samples.data() + done * k_channels, k_chunk);
    if (progress) progress(static_cast<double>(done) / static_cast<double>(timeline.frames));
  }
  return out;
}

}  // namespace fretloom
