#include "play/render.h"

#include <algorithm>
#include <array>
#include <memory>

#include "base/text.h"
#include "neck/tuning.h"
#include "sound/kernel/voice.h"

namespace fretloom {
namespace {

constexpr int k_chunk = 4096;
/// A loop runs at least this long before it is kept: every string is damped and the room is still by then.
constexpr std::int64_t k_warm_up = 5LL * k_sample_rate;
/// Up to so many frames the strings of the first time are kept for the second (23 MB).
constexpr std::int64_t k_most_kept = 60LL * k_sample_rate;
/// The count-in is heard alone and stands as loud as the lick: it rings longer, and 5 dB over the click.
constexpr float k_count_in_level = 1.778F;
constexpr std::int64_t k_fade = k_sample_rate / 5;  ///< the end of a piece that ends goes to nothing

// The kernel includes nothing of the other rooms and keeps a number of its own.
static_assert(voice::k_strings == k_max_strings);

std::vector<voice::Event> play(const std::vector<voice::PlayedNote>& notes, const voice::Manner& manner) {
  std::vector<voice::Event> events(notes.size() * voice::k_events_a_note + 1);
  const int count = voice::perform(notes.data(), static_cast<int>(notes.size()), manner, events.data(),
                                   static_cast<int>(events.size()));
  events.resize(static_cast<std::size_t>(std::max(count, 0)));
  return events;
}

/// The notes of so many turns of a loop.
std::vector<voice::PlayedNote> unroll(const Timeline& timeline, std::int64_t turns) {
  std::vector<voice::PlayedNote> notes;
  notes.reserve(timeline.notes.size() * static_cast<std::size_t>(turns));
  for (std::int64_t t = 0; t < turns; ++t) {
    for (voice::PlayedNote note : timeline.notes) {
      note.onset += t * timeline.frames;
      note.end += t * timeline.frames;
      notes.push_back(note);
    }
  }
  return notes;
}

int usual_voicing(const Instrument& instrument) {
  return parse_voicing(instrument.is_bass() ? "deep" : "bright").value_or(0);
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

class Player::Strings {
 public:
  Strings(const Instrument& instrument, const Timeline& timeline, const RenderOptions& options)
      : options_(options), bass_(instrument.is_bass()), frames_(timeline.frames), loop_(timeline.loop) {
    for (int string = instrument.strings(); string >= 1; --string)
      open_.push_back(frequency(instrument.neck.open_midi(string)).value);
    voicing_ = options.voicing.value_or(usual_voicing(instrument));
    before_ = loop_ ? (k_warm_up + frames_ - 1) / frames_ : 0;
    if (timeline.notes.empty()) return;
    // One turn more than is heard: the last note of the kept turn must know what follows it.
    events_ = play(loop_ ? unroll(timeline, before_ + 2) : timeline.notes, options.manner);
  }

  void rewind() {
    if (!kept_.empty() || events_.empty()) return;
    if (voice_ == nullptr) voice_ = std::make_unique<voice::Voice>();
    *voice_ = voice::Voice();
    voice_->prepare(open_.data(), static_cast<int>(open_.size()), bass_, voicing_, options_.manner);
    voice_->start(events_.data(), static_cast<int>(events_.size()));
    for (std::int64_t left = before_ * frames_; left > 0;) left -= render(std::min<std::int64_t>(left, k_chunk));
  }

  void read(float* out, std::int64_t from, std::int64_t count) {
    if (events_.empty()) {
      std::fill(out, out + k_channels * count, 0.0F);
      return;
    }
    const bool keep = frames_ <= k_most_kept;
    if (from == 0 && keep && kept_.empty()) kept_.reserve(static_cast<std::size_t>(frames_ * k_channels));
    const auto end = static_cast<std::size_t>((from + count) * k_channels);
    if (kept_.size() >= end) {
      std::copy(kept_.begin() + static_cast<std::ptrdiff_t>(from * k_channels),
                kept_.begin() + static_cast<std::ptrdiff_t>(end), out);
      return;
    }
    for (std::int64_t done = 0; done < count;) {
      const std::int64_t run = render(std::min<std::int64_t>(count - done, k_chunk));
      for (std::int64_t i = 0; i < run; ++i) {
        const float fade = fade_at(from + done + i);
        out[k_channels * (done + i)] = left_[static_cast<std::size_t>(i)] * fade;
        out[k_channels * (done + i) + 1] = right_[static_cast<std::size_t>(i)] * fade;
      }
      done += run;
    }
    if (keep) kept_.insert(kept_.end(), out, out + k_channels * count);
  }

 private:
  std::int64_t render(std::int64_t count) {
    voice_->render(left_.data(), right_.data(), static_cast<int>(count));
    return count;
  }
  [[nodiscard]] float fade_at(std::int64_t frame) const {
    const std::int64_t left = frames_ - 1 - frame;
    return loop_ || left >= k_fade ? 1.0F : static_cast<float>(left) / static_cast<float>(k_fade);
  }

  RenderOptions options_;
  bool bass_;
  std::int64_t frames_;
  bool loop_;
  int voicing_ = 0;
  std::vector<double> open_;
  std::int64_t before_ = 0;  ///< turns of a loop that are not heard
  std::vector<voice::Event> events_;
  std::unique_ptr<voice::Voice> voice_;
  std::vector<float> kept_;
  std::array<float, k_chunk> left_{}, right_{};
};

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
    : strings_(std::make_unique<Strings>(instrument, timeline, options)),
      clicks_(std::make_unique<Clicks>(timeline)),
      frames_(timeline.frames) {
  rewind();
}

Player::~Player() = default;

void Player::rewind() {
  strings_->rewind();
  clicks_->rewind();
  done_ = 0;
}

std::int64_t Player::read(float* strings, float* click, std::int64_t count) {
  count = std::min(count, frames_ - done_);
  strings_->read(strings, done_, count);
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
