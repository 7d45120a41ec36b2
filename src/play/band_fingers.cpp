#include "play/band_fingers.h"

#include <algorithm>
#include <cstdlib>

namespace fretloom {
namespace {

constexpr int k_highest_fret = 24;
constexpr int k_high_position = 9;  ///< from here on a place is chosen only for want of a lower one

/// How far a place is from the hand; open strings are always at hand.
int reach(int fret, int hand) {
  return fret == 0 ? 1 : std::abs(fret - hand) + 2 * std::max(0, fret - k_high_position);
}

class Chord {
 public:
  Chord(const std::vector<int>& open, const std::vector<int>& keys, int hand) : open_(open), keys_(keys), hand_(hand) {}

  std::vector<FingerPlace> best() {
    place(0, 0);
    return best_;
  }

 private:
  void place(std::size_t note, std::size_t string) {
    if (note == keys_.size()) return weigh();
    for (std::size_t s = string; s < open_.size(); ++s) {
      const int fret = keys_[note] - open_[s];
      if (fret < 0 || fret > k_highest_fret) continue;
      now_.push_back({static_cast<int>(s), fret});
      place(note + 1, s + 1);
      now_.pop_back();
    }
  }

  void weigh() {
    int low = k_highest_fret;
    int high = 0;
    for (const FingerPlace& p : now_) {
      if (p.fret == 0) continue;
      low = std::min(low, p.fret);
      high = std::max(high, p.fret);
    }
    const int wide = std::max(0, high - low);
    const int gaps = now_.back().string - now_.front().string + 1 - static_cast<int>(now_.size());
    const int cost = 10 * std::max(0, wide - 3) + 2 * gaps + wide + reach(std::min(low, high), hand_);
    if (!best_.empty() && cost >= least_) return;
    least_ = cost;
    best_ = now_;
  }

  const std::vector<int>& open_;
  const std::vector<int>& keys_;
  int hand_;
  int least_ = 0;
  std::vector<FingerPlace> now_, best_;
};

}  // namespace

std::optional<FingerPlace> place_note(const std::vector<int>& open, int midi, int hand) {
  std::optional<FingerPlace> best;
  for (std::size_t s = 0; s < open.size(); ++s) {
    const int fret = midi - open[s];
    if (fret < 0 || fret > k_highest_fret) continue;
    if (!best || reach(fret, hand) <= reach(best->fret, hand)) best = FingerPlace{static_cast<int>(s), fret};
  }
  return best;
}

std::vector<FingerPlace> place_chord(const std::vector<int>& open, const std::vector<int>& keys, int hand) {
  if (keys.empty()) return {};
  return Chord(open, keys, hand).best();
}

}  // namespace fretloom
