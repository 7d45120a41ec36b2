#include "sound/band_player.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "sound/kernel/room.h"

namespace fretloom {
namespace {

constexpr double k_room_seconds = 0.8;  ///< as the lick's
/// A loop's room is filled by so much of it before its first frame.
constexpr std::int64_t k_room_before = 3LL * k_sample_rate / 2;
constexpr std::int64_t k_piece = 4096;
/// Up to so many frames a part is kept for the walks to come (15 MB).
constexpr std::int64_t k_most_kept = 40LL * k_sample_rate;

struct Sides {
  float left = 1;
  float right = 1;
  float room = 0;
};

Sides sides_of(const Seat& seat) {
  const double gain = std::pow(10.0, seat.gain_db / 20.0) * std::numbers::sqrt2;
  const double angle = (seat.pan + 1.0) * std::numbers::pi / 4.0;
  return {static_cast<float>(gain * std::cos(angle)), static_cast<float>(gain * std::sin(angle)),
          static_cast<float>(gain * seat.room)};
}

float quarter_sine(std::int64_t at, std::int64_t length) {
  return static_cast<float>(
      std::sin(std::numbers::pi / 2 * (static_cast<double>(at) + 0.5) / static_cast<double>(length)));
}

enum class Group { bass, chords, drums };

Group group_of(BandRole role) {
  if (role == BandRole::bass) return Group::bass;
  return role == BandRole::drums ? Group::drums : Group::chords;
}

}  // namespace

/// The hits of a part, mixed frame by frame in the order of their beginnings.
class BandPlayer::Hits {
 public:
  Hits(const BandTimeline& timeline, const std::vector<const Sample*>& samples, Group group) {
    for (const BandHit& hit : timeline.hits) {
      const auto which = static_cast<std::size_t>(hit.sound);
      const HitSound& sound = timeline.sounds[which];
      if (which >= samples.size() || group_of(sound.role) != group) continue;
      const Sample& sample = *samples[which];
      Voice voice{&sample.mono,
                  sides_of(seat_of(sound.role, sound.key)),
                  hit.frame - sample.attack,
                  std::max(hit.end - hit.frame + sample.attack, std::int64_t{1}),
                  hit.rise,
                  hit.fall,
                  hit.level};
      voice.length = std::min<std::int64_t>(static_cast<std::int64_t>(sample.mono.size()), voice.held + hit.fall);
      if (!timeline.loop) {
        voices_.push_back(voice);
        continue;
      }
      // What has begun in turns before, and the first frames of what begins at the next turn's start.
      voice.begin += timeline.frames;
      while (voice.begin + voice.length > 0) {
        if (voice.begin < timeline.frames) voices_.push_back(voice);
        voice.begin -= timeline.frames;
      }
    }
    std::stable_sort(voices_.begin(), voices_.end(), [](const Voice& a, const Voice& b) { return a.begin < b.begin; });
  }

  [[nodiscard]] bool empty() const { return voices_.empty(); }

  void rewind() {
    next_ = 0;
    playing_.clear();
  }

  /// Adds frames `from` on to both sides and to what goes into the room.
  void add(float* out, float* room, std::int64_t from, std::int64_t count) {
    while (next_ < voices_.size() && voices_[next_].begin < from + count) playing_.push_back(next_++);
    std::erase_if(playing_, [&](std::size_t v) { return voices_[v].begin + voices_[v].length <= from; });
    for (const std::size_t v : playing_) add(voices_[v], out, room, from, count);
  }

 private:
  struct Voice {
    const std::vector<float>* sound;
    Sides sides;
    std::int64_t begin;
    std::int64_t held;  ///< frames until it falls
    std::int64_t rise;
    std::int64_t fall;
    float level;
    std::int64_t length = 0;
  };

  static void add(const Voice& v, float* out, float* room, std::int64_t from, std::int64_t count) {
    const std::int64_t first = std::max<std::int64_t>(from - v.begin, 0);
    const std::int64_t last = std::min(from + count - v.begin, v.length);
    for (std::int64_t i = first; i < last; ++i) {
      float x = v.level * (*v.sound)[static_cast<std::size_t>(i)];
      if (i < v.rise) x *= quarter_sine(i, v.rise);
      if (i >= v.held) x *= quarter_sine(v.fall - 1 - (i - v.held), v.fall);
      const std::int64_t at = v.begin + i - from;
      out[k_channels * at] += x * v.sides.left;
      out[k_channels * at + 1] += x * v.sides.right;
      room[at] += x * v.sides.room;
    }
  }

  std::vector<Voice> voices_;
  std::size_t next_ = 0;
  std::vector<std::size_t> playing_;
};

/// A part with its share of the room. A short one is kept whole, once played.
class BandPlayer::Part {
 public:
  Part(const BandTimeline& timeline, const std::vector<const Sample*>& samples, Group group)
      : hits_(timeline, samples, group), frames_(timeline.frames), loop_(timeline.loop) {
    for (const BandStrings& strings : timeline.strings) {
      if (group_of(strings.role) != group) continue;
      strings_ =
          std::make_unique<StringTrack>(strings.part, timeline.frames, timeline.loop, StringTrack::Keeps::nothing);
      sides_ = sides_of(seat_of(strings.role, 0));
    }
    plays_ = strings_ != nullptr || !hits_.empty();
  }

  void rewind() {
    done_ = 0;
    if (!plays_ || !kept_.empty()) return;
    room_.prepare(k_room_seconds);
    seek();
    if (frames_ <= k_most_kept) return keep();
    if (!loop_) return;
    // The room is heard from the loop's last frames on.
    std::vector<float> out;
    for (std::int64_t done = 0; done < frames_; done += k_piece) {
      play(out, std::min(k_piece, frames_ - done));
      if (frames_ - done <= k_room_before) answer(out);
    }
    seek();
  }

  void read(std::vector<float>& out, std::int64_t count) {
    if (!plays_) return out.assign(static_cast<std::size_t>(count * k_channels), 0.0F);
    if (!kept_.empty()) {
      const auto from = kept_.begin() + static_cast<std::ptrdiff_t>(done_ * k_channels);
      out.assign(from, from + static_cast<std::ptrdiff_t>(count * k_channels));
      done_ += count;
      return;
    }
    play(out, count);
    answer(out);
  }

 private:
  void seek() {
    done_ = 0;
    hits_.rewind();
    if (strings_ != nullptr) strings_->rewind();
  }

  void keep() {
    play(kept_, frames_);
    done_ = 0;
    if (loop_) {
      const std::vector<float> turn = send_;
      const std::int64_t before = std::min(frames_, k_room_before);
      send_.erase(send_.begin(), send_.end() - static_cast<std::ptrdiff_t>(before));
      std::vector<float> unheard(static_cast<std::size_t>(before * k_channels));
      answer(unheard);
      send_ = turn;
    }
    answer(kept_);
    send_ = {};
    left_ = {};
    right_ = {};
    strings_.reset();
  }

  /// The next frames without the room; what it hears goes into send_.
  void play(std::vector<float>& out, std::int64_t count) {
    const auto size = static_cast<std::size_t>(count);
    out.assign(size * k_channels, 0.0F);
    send_.assign(size, 0.0F);
    if (strings_ != nullptr) {
      strings_->read(out.data(), count);
      for (std::size_t i = 0; i < size; ++i) {
        const float x = out[k_channels * i];  // dry and in the middle
        out[k_channels * i] = x * sides_.left;
        out[k_channels * i + 1] = x * sides_.right;
        send_[i] = x * sides_.room;
      }
    }
    hits_.add(out.data(), send_.data(), done_, count);
    done_ += count;
  }

  /// Adds the room's answer to send_.
  void answer(std::vector<float>& out) {
    left_.assign(send_.size(), 0.0F);
    right_.assign(send_.size(), 0.0F);
    room_.run(send_.data(), 1.0F, left_.data(), right_.data(), static_cast<int>(send_.size()));
    for (std::size_t i = 0; i < send_.size(); ++i) {
      out[k_channels * i] += left_[i];
      out[k_channels * i + 1] += right_[i];
    }
  }

  Hits hits_;
  std::int64_t frames_;
  bool loop_;
  bool plays_ = false;
  std::unique_ptr<StringTrack> strings_;
  Sides sides_;
  voice::Room room_;
  std::int64_t done_ = 0;
  std::vector<float> kept_;
  std::vector<float> send_, left_, right_;
};

Result<std::unique_ptr<BandPlayer>> BandPlayer::make(const BandTimeline& timeline, BandSamples* samples,
                                                     const StopFlag* stop) {
  std::vector<const Sample*> sounds;
  for (const HitSound& sound : timeline.sounds) {
    if (samples == nullptr) break;
    if (stop != nullptr && stop->load(std::memory_order_relaxed)) return stopped();
    const auto sample = samples->sample(sound);
    if (!sample) return sample.error();
    sounds.push_back(*sample);
  }
  std::unique_ptr<BandPlayer> player(new BandPlayer(timeline, std::move(sounds)));
  player->rewind();
  return player;
}

BandPlayer::BandPlayer(const BandTimeline& timeline, std::vector<const Sample*> samples) {
  for (const Group group : {Group::bass, Group::chords, Group::drums})
    parts_.push_back(std::make_unique<Part>(timeline, samples, group));
}
BandPlayer::~BandPlayer() = default;

void BandPlayer::rewind() {
  for (const auto& part : parts_) part->rewind();
}

void BandPlayer::read(BandPiece& piece, std::int64_t count) {
  std::vector<float>* const outs[] = {&piece.bass, &piece.chords, &piece.drums};
  for (std::size_t i = 0; i < parts_.size(); ++i) parts_[i]->read(*outs[i], count);
}

}  // namespace fretloom
