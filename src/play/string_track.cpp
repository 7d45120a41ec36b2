#include "play/string_track.h"

#include <algorithm>
#include <array>

#include "sound/kernel/voice.h"
#include "theory/pitch.h"

namespace fretloom {
namespace {

constexpr std::int64_t k_chunk = 4096;
constexpr std::int64_t k_block = 64;  ///< frames that the voice works in
/// A loop runs at least this long before it is kept: every string is damped and the room is still by then.
constexpr std::int64_t k_warm_up = 5LL * k_sample_rate;
/// Up to so many frames the sound of the first time is kept for the second (23 MB).
constexpr std::int64_t k_most_kept = 60LL * k_sample_rate;
constexpr std::int64_t k_fade = k_sample_rate / 5;  ///< the end of a piece that ends goes to nothing

std::vector<voice::Event> play(const std::vector<voice::PlayedNote>& notes, const voice::Manner& manner) {
  std::vector<voice::Event> events(notes.size() * voice::k_events_a_note + 1);
  const int count = voice::perform(notes.data(), static_cast<int>(notes.size()), manner, events.data(),
                                   static_cast<int>(events.size()));
  events.resize(static_cast<std::size_t>(std::max(count, 0)));
  events.shrink_to_fit();
  return events;
}

/// The notes of so many turns of a loop.
std::vector<voice::PlayedNote> unroll(const std::vector<voice::PlayedNote>& turn, std::int64_t frames,
                                      std::int64_t turns) {
  std::vector<voice::PlayedNote> notes;
  notes.reserve(turn.size() * static_cast<std::size_t>(turns));
  for (std::int64_t t = 0; t < turns; ++t) {
    for (voice::PlayedNote note : turn) {
      note.onset += t * frames;
      note.end += t * frames;
      notes.push_back(note);
    }
  }
  return notes;
}

/// Where to begin, so that all that sounds at `frame` is played from its onset: a whole block before it.
std::int64_t start_of(const std::vector<voice::PlayedNote>& notes, std::int64_t frame) {
  std::int64_t start = frame;
  for (const voice::PlayedNote& note : notes) {
    if (note.end + note.ring > frame) start = std::min(start, note.onset);
  }
  return std::max<std::int64_t>(start, 0) / k_block * k_block;
}

}  // namespace

class StringTrack::Strings {
 public:
  Strings(const StringPart& part, std::int64_t frames, bool loop, Keeps keeps)
      : keeps_(keeps == Keeps::short_pieces && frames <= k_most_kept),
        is_bass_(part.is_bass),
        voicing_(part.voicing),
        manner_(part.manner),
        frames_(frames),
        loop_(loop) {
    for (const int midi : part.open) open_.push_back(frequency(midi).value);
    if (part.notes.empty()) return;
    if (!loop_) {
      events_ = play(part.notes, part.manner);
      return;
    }
    const std::int64_t turns = (k_warm_up + frames_ - 1) / frames_;
    before_ = turns * frames_;
    // One turn more than is heard: the last note of the kept turn must know what follows it.
    auto notes = unroll(part.notes, frames_, turns + 2);
    const std::int64_t start = start_of(notes, before_ - k_warm_up);
    std::erase_if(notes, [&](const voice::PlayedNote& note) { return note.onset < start; });
    for (voice::PlayedNote& note : notes) {
      note.onset -= start;
      note.end -= start;
    }
    before_ -= start;
    events_ = play(notes, part.manner);
  }

  void rewind() {
    done_ = 0;
    if (!kept_.empty() || events_.empty()) return;
    if (voice_ == nullptr) voice_ = std::make_unique<voice::Voice>();
    *voice_ = voice::Voice();
    voice_->prepare(open_.data(), static_cast<int>(open_.size()), is_bass_, voicing_, manner_);
    voice_->start(events_.data(), static_cast<int>(events_.size()));
    for (std::int64_t left = before_; left > 0;) left -= render(std::min(left, k_chunk));
  }

  void read(float* out, std::int64_t count) {
    const std::int64_t from = done_;
    done_ += count;
    if (events_.empty()) {
      std::fill(out, out + k_channels * count, 0.0F);
      return;
    }
    if (from == 0 && keeps_ && kept_.empty()) kept_.reserve(static_cast<std::size_t>(frames_ * k_channels));
    const auto end = static_cast<std::size_t>((from + count) * k_channels);
    if (kept_.size() >= end) {
      std::copy(kept_.begin() + static_cast<std::ptrdiff_t>(from * k_channels),
                kept_.begin() + static_cast<std::ptrdiff_t>(end), out);
      return;
    }
    for (std::int64_t done = 0; done < count;) {
      const std::int64_t run = render(std::min(count - done, k_chunk));
      for (std::int64_t i = 0; i < run; ++i) {
        const float fade = fade_at(from + done + i);
        out[k_channels * (done + i)] = left_[static_cast<std::size_t>(i)] * fade;
        out[k_channels * (done + i) + 1] = right_[static_cast<std::size_t>(i)] * fade;
      }
      done += run;
    }
    if (keeps_) kept_.insert(kept_.end(), out, out + k_channels * count);
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

  bool keeps_;
  bool is_bass_;
  int voicing_;
  voice::Manner manner_;
  std::int64_t frames_;
  bool loop_;
  std::vector<double> open_;
  std::int64_t before_ = 0;  ///< frames of a loop that are not heard
  std::int64_t done_ = 0;
  std::vector<voice::Event> events_;
  std::unique_ptr<voice::Voice> voice_;
  std::vector<float> kept_;
  std::array<float, k_chunk> left_{}, right_{};
};

StringTrack::StringTrack(const StringPart& part, std::int64_t frames, bool loop, Keeps keeps)
    : strings_(std::make_unique<Strings>(part, frames, loop, keeps)) {
  rewind();
}
StringTrack::~StringTrack() = default;
void StringTrack::rewind() { strings_->rewind(); }
void StringTrack::read(float* out, std::int64_t count) { strings_->read(out, count); }

}  // namespace fretloom
