#include "band/voicing.h"

#include <algorithm>
#include <cassert>
#include <cstdlib>
#include <utility>

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
int movement(const Voicing& a, const Voicing& b) {
  const auto one_way = [](const Voicing& from, const Voicing& to) {
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
int faults(const Voicing& voicing) {
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

/// Costs, each before the next whatever the sums: faults, semitones moved, distance from the middle.
constexpr std::int64_t k_fault = 1'000'000;
constexpr std::int64_t k_move = 1'000;

std::int64_t own_cost(const Voicing& voicing, const PitchRange& range) {
  const int low = voicing.front().midi;
  const int high = voicing.back().midi;
  return faults(voicing) * k_fault + std::abs(low + high - range.low - range.high) + std::max(0, high - low - 12);
}

/// Whether no tone of `before` is heard again in another octave alone.
bool keeps_tones(const Voicing& before, const Voicing& after) {
  return std::all_of(after.begin(), after.end(), [&](const VoicedTone& tone) {
    bool is_common = false;
    for (const VoicedTone& old : before) {
      if (old.midi % 12 != tone.midi % 12) continue;
      is_common = true;
      for (const VoicedTone& other : after) {
        if (other.midi == old.midi) return true;
      }
    }
    return !is_common;
  });
}

/// The cheapest way round a cycle of chords. Where every tone has one octave of its own no tone ever leaps, so that
/// there always is a way.
class Leading {
 public:
  explicit Leading(std::vector<std::vector<Voicing>> choices, const PitchRange& range)
      : choices_(std::move(choices)), range_(range) {}

  std::vector<Voicing> cheapest() {
    std::vector<Voicing> best;
    std::int64_t least = k_never;
    for (std::size_t start = 0; start < choices_.front().size(); ++start) {
      const auto [cost, path] = from(start);
      if (cost >= least) continue;
      least = cost;
      best.clear();
      for (std::size_t i = 0; i < path.size(); ++i) best.push_back(choices_[i][path[i]]);
    }
    return best;
  }

 private:
  static constexpr std::int64_t k_never = std::int64_t{1} << 60;
  struct Way {
    std::int64_t cost = k_never;
    std::vector<std::size_t> path;
  };

  [[nodiscard]] std::int64_t step(const Voicing& before, const Voicing& after) const {
    return keeps_tones(before, after) ? movement(before, after) * k_move : k_never;
  }

  /// Viterbi's way from one voicing of the first chord back to it.
  [[nodiscard]] Way from(std::size_t start) const {
    std::vector<std::int64_t> costs(choices_.front().size(), k_never);
    costs[start] = own_cost(choices_.front()[start], range_);
    std::vector<std::vector<std::size_t>> back;  // of each later chord's voicings: the one before
    for (std::size_t i = 1; i < choices_.size(); ++i) {
      std::vector<std::int64_t> next(choices_[i].size(), k_never);
      back.emplace_back(choices_[i].size(), 0);
      for (std::size_t to = 0; to < next.size(); ++to) {
        for (std::size_t at = 0; at < costs.size(); ++at) {
          if (costs[at] >= k_never) continue;
          const std::int64_t cost = costs[at] + step(choices_[i - 1][at], choices_[i][to]);
          if (cost >= next[to]) continue;
          next[to] = cost;
          back.back()[to] = at;
        }
        if (next[to] < k_never) next[to] += own_cost(choices_[i][to], range_);
      }
      costs = std::move(next);
    }
    Way way;
    std::size_t last = 0;
    for (std::size_t at = 0; at < costs.size(); ++at) {
      if (costs[at] >= k_never) continue;
      const std::int64_t cost = costs[at] + step(choices_.back()[at], choices_.front()[start]);
      if (cost >= way.cost) continue;
      way.cost = cost;
      last = at;
    }
    way.path.assign(choices_.size(), last);
    for (std::size_t i = choices_.size() - 1; i > 0; --i) way.path[i - 1] = back[i - 1][way.path[i]];
    return way;
  }

  std::vector<std::vector<Voicing>> choices_;
  const PitchRange& range_;
};

/// Every place of every tone.
void place(const Chord& chord, const std::vector<Degree>& tones, const PitchRange& range, Voicing& now,
           std::vector<Voicing>& found) {
  if (now.size() == tones.size()) {
    Voicing voicing = now;
    const auto is_lower = [](const VoicedTone& a, const VoicedTone& b) { return a.midi < b.midi; };
    std::sort(voicing.begin(), voicing.end(), is_lower);
    const int octave = voicing.front().midi + 12;
    if (tones.size() < 3 && range.contains(octave)) voicing.push_back({octave, voicing.front().degree});
    std::sort(voicing.begin(), voicing.end(), is_lower);
    found.push_back(std::move(voicing));
    return;
  }
  const Degree& tone = tones[now.size()];
  for (int midi = range.low; midi <= range.high; ++midi) {
    if (midi % 12 != pitch_class(chord, tone)) continue;
    now.push_back({midi, tone});
    place(chord, tones, range, now, found);
    now.pop_back();
  }
}

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

std::vector<Voicing> lead_voices(const std::vector<const Chord*>& cycle, int count, const PitchRange& range) {
  assert(!cycle.empty() && range.size() >= 12);
  std::vector<std::vector<Voicing>> choices;
  for (const Chord* chord : cycle) {
    Voicing now;
    place(*chord, chosen_tones(*chord, count), range, now, choices.emplace_back());
  }
  return Leading(std::move(choices), range).cheapest();
}

}  // namespace fretloom
