#include "band/voicing.h"

#include <algorithm>
#include <cstdlib>
#include <limits>
#include <tuple>

#include "base/rational.h"

namespace fretloom {

namespace {

constexpr int k_lowest_second = 57;  // A3
constexpr int k_widest_gap = 9;
constexpr int k_widest = 16;

int pitch_class(const Chord& chord, const Degree& degree) {
  return static_cast<int>(floor_mod(chord.root.semitones() + degree.semitones(), 12));
}

bool is_guide(const Chord& chord, const Degree& degree) {
  const auto has = [&](int number) {
    return std::any_of(chord.tones.begin(), chord.tones.end(), [&](const Degree& d) { return d.number == number; });
  };
  switch (degree.number) {
    case 3:
    case 7: return true;
    case 2:
    case 4: return !has(3);
    case 6: return !has(7);
    case 11: return !has(3) && !has(4);
    default: return false;
  }
}

/// Rank of need, 0 first.
int need(const Chord& chord, const Degree& degree) {
  if (is_guide(chord, degree)) return 0;
  if (degree.number == 5 && degree.alter != 0) return 1;
  if (degree.number > 7) return degree.alter != 0 ? 2 : 3;
  if (degree.number == 1) return 6;
  return degree.number == 5 ? 5 : 4;
}

/// Sum of the distances of each note to the nearest of the other chord, both ways.
int movement(const std::vector<VoicedTone>& a, const std::vector<VoicedTone>& b) {
  const auto one_way = [](const std::vector<VoicedTone>& from, const std::vector<VoicedTone>& to) {
    int sum = 0;
    for (const VoicedTone& tone : from) {
      int nearest = 127;
      for (const VoicedTone& other : to) nearest = std::min(nearest, std::abs(tone.midi - other.midi));
      sum += nearest;
    }
    return sum;
  };
  return one_way(a, b) + one_way(b, a);
}

/// Faults of a voicing by itself: muddy or sharp seconds, too wide.
int faults(const std::vector<VoicedTone>& voicing) {
  int count = 0;
  for (std::size_t i = 0; i + 1 < voicing.size(); ++i) {
    const int step = voicing[i + 1].midi - voicing[i].midi;
    if (step <= 2 && voicing[i].midi < k_lowest_second) ++count;
    if (step == 1 && i + 2 == voicing.size()) ++count;
    if (step > k_widest_gap && voicing.size() > 2 && step != 12) ++count;
  }
  if (voicing.back().midi - voicing.front().midi > k_widest) ++count;
  return count;
}

/// Tries every place of every tone and keeps the best voicing.
class Search {
 public:
  Search(const Chord& chord, const PitchRange& range, const std::vector<VoicedTone>& before)
      : chord_(chord), range_(range), before_(before) {}

  std::vector<VoicedTone> best(const std::vector<Degree>& tones, bool doubled) {
    tones_ = tones;
    doubled_ = doubled;
    best_.clear();
    place(0);
    return best_;
  }

 private:
  using Cost = std::tuple<int, int, int, int>;

  void place(std::size_t index) {
    if (index == tones_.size()) return judge();
    const int wanted = pitch_class(chord_, tones_[index]);
    bool kept = false;
    for (const VoicedTone& old : before_) {
      if (old.midi % 12 != wanted || !range_.contains(old.midi)) continue;
      kept = true;
      try_at(index, old.midi);
    }
    if (kept) return;
    for (int midi = range_.low; midi <= range_.high; ++midi) {
      if (midi % 12 == wanted) try_at(index, midi);
    }
  }
  void try_at(std::size_t index, int midi) {
    now_.push_back({midi, tones_[index]});
    place(index + 1);
    now_.pop_back();
  }

  void judge() {
    std::vector<VoicedTone> voicing = now_;
    const auto is_lower = [](const VoicedTone& a, const VoicedTone& b) { return a.midi < b.midi; };
    if (doubled_) {
      const VoicedTone& lowest = *std::min_element(voicing.begin(), voicing.end(), is_lower);
      const VoicedTone octave{lowest.midi + 12, lowest.degree};
      if (!range_.contains(octave.midi)) return;
      voicing.push_back(octave);
    }
    std::sort(voicing.begin(), voicing.end(), is_lower);
    const int centre = range_.low + range_.high;
    const int span = voicing.back().midi - voicing.front().midi;
    const int off = std::abs(voicing.front().midi + voicing.back().midi - centre) + std::max(0, span - 12);
    const int moves = before_.empty() ? 0 : movement(before_, voicing);
    const Cost cost{faults(voicing), moves, off, voicing.front().midi};
    if (!best_.empty() && cost >= best_cost_) return;
    best_ = std::move(voicing);
    best_cost_ = cost;
  }

  const Chord& chord_;
  const PitchRange& range_;
  const std::vector<VoicedTone>& before_;
  std::vector<Degree> tones_;
  bool doubled_ = false;
  std::vector<VoicedTone> now_;
  std::vector<VoicedTone> best_;
  Cost best_cost_;
};

}  // namespace

std::vector<Degree> chosen_tones(const Chord& chord, int count) {
  std::vector<Degree> tones = chord.tones;
  std::stable_sort(tones.begin(), tones.end(), [&](const Degree& a, const Degree& b) {
    return std::pair(need(chord, a), -a.number) < std::pair(need(chord, b), -b.number);
  });
  // Two names of one pitch ("add4" beside "11") are one tone.
  std::vector<Degree> chosen;
  for (const Degree& tone : tones) {
    const bool is_new = std::none_of(chosen.begin(), chosen.end(), [&](const Degree& d) {
      return pitch_class(chord, d) == pitch_class(chord, tone);
    });
    if (is_new && chosen.size() < static_cast<std::size_t>(count)) chosen.push_back(tone);
  }
  return chosen;
}

std::vector<VoicedTone> voice_chord(const Chord& chord, int count, const PitchRange& range,
                                    const std::vector<VoicedTone>& before) {
  const std::vector<Degree> tones = chosen_tones(chord, count);
  Search search(chord, range, before);
  if (tones.size() < 3) {
    auto doubled = search.best(tones, true);
    if (!doubled.empty()) return doubled;
  }
  return search.best(tones, false);
}

}  // namespace fretloom
