#include "sound/chord_dip.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace fretloom {
namespace {

constexpr std::int64_t k_down = 6LL * k_sample_rate / 100;
constexpr std::int64_t k_up = 35LL * k_sample_rate / 100;
constexpr double k_depth = 0.2921;  // of 1: -3 dB

float part_of(std::int64_t at, std::int64_t length) {
  const double place = std::clamp(static_cast<double>(at) / static_cast<double>(length), 0.0, 1.0);
  return static_cast<float>(k_depth * (0.5 - 0.5 * std::cos(std::numbers::pi * place)));
}

}  // namespace

ChordDip::ChordDip(const Timeline& timeline) {
  std::vector<Span> all;
  for (const voice::PlayedNote& note : timeline.notes) {
    all.push_back({note.onset, note.end});
    if (!timeline.loop) continue;
    all.push_back({note.onset - timeline.frames, note.end - timeline.frames});
    all.push_back({note.onset + timeline.frames, note.end + timeline.frames});
  }
  std::sort(all.begin(), all.end(), [](const Span& a, const Span& b) { return a.from < b.from; });
  for (const Span& span : all) {
    if (!spans_.empty() && span.from <= spans_.back().to + k_up + k_down) {
      spans_.back().to = std::max(spans_.back().to, span.to);
    } else {
      spans_.push_back(span);
    }
  }
}

float ChordDip::gain_at(std::int64_t frame) {
  if (frame == 0) next_ = 0;
  while (next_ < spans_.size() && spans_[next_].to + k_up <= frame) ++next_;
  if (next_ == spans_.size() || frame < spans_[next_].from - k_down) return 1.0F;
  const Span& span = spans_[next_];
  if (frame < span.to) return 1.0F - part_of(frame - (span.from - k_down), k_down);
  return 1.0F - part_of(span.to + k_up - frame, k_up);
}

}  // namespace fretloom
