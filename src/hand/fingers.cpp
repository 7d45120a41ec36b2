#include "hand/fingers.h"

#include <algorithm>
#include <array>
#include <limits>
#include <string>

namespace fretloom {

namespace {

constexpr double k_never = std::numeric_limits<double>::infinity();

// A broken rule costs more mm than any way of the hand that keeping it could save, and than all breaks of
// weaker rules that it could save.
constexpr double k_broken_slur = 1e11;
constexpr double k_broken_shape = 1e8;
constexpr double k_broken_tie = 1e5;
constexpr double k_same = 1e-3;  ///< costs nearer than this are equal: doubles beside a broken slur are no finer

/// All ways to play a fret: each finger in its place or stretched by a fret.
constexpr int k_holds = 8;
std::array<Hold, k_holds> holds(int fret) {
  std::array<Hold, k_holds> all{};
  for (int finger = 1; finger <= 4; ++finger) {
    const int natural = fret - finger + 1;
    all[static_cast<std::size_t>(2 * finger - 2)] = {finger, natural};
    all[static_cast<std::size_t>(2 * finger - 1)] = {finger, finger == 1 ? natural + 1 : natural - 1};
  }
  return all;
}

/// A path, one hold a note, and its cost with all broken rules.
struct Path {
  std::vector<Hold> holds;
  double cost = 0;
};

/// The least path for given fingers of the ties.
class PathFinder {
 public:
  /// `held` are the first notes' holds, which stay.
  PathFinder(const std::vector<LickNote>& notes, const FingerCostModel& model, const FingerRules& rules,
             const std::vector<Hold>& held)
      : notes_(notes), rules_(rules), model_(model) {
    for (std::size_t i = 0; i < notes.size(); ++i) {
      if (notes[i].fret > 0) fretted_.push_back({i, holds(notes[i].fret), own_costs(i, held)});
    }
    from_.resize(fretted_.size());
  }

  /// `ties`: a finger each, 0 = any.
  [[nodiscard]] Path find(const std::vector<int>& ties) {
    std::array<double, k_holds> cost{};
    for (std::size_t k = 0; k < fretted_.size(); ++k) cost = step(k, cost, ties);
    Path path{std::vector<Hold>(notes_.size(), Hold{0, 1}), 0};
    if (fretted_.empty()) return path;
    auto state = static_cast<std::size_t>(std::min_element(cost.begin(), cost.end()) - cost.begin());
    path.cost = cost[state];
    for (std::size_t k = fretted_.size(); k-- > 0;) {
      path.holds[fretted_[k].note] = fretted_[k].holds[state];
      state = from_[k][state];
    }
    // Open notes keep the hand of the note before, or the first one after.
    int position = path.holds[fretted_.front().note].position;
    for (std::size_t i = 0; i < notes_.size(); ++i) {
      if (notes_[i].fret == 0) path.holds[i].position = position;
      position = path.holds[i].position;
    }
    return path;
  }

 private:
  struct Fretted {
    std::size_t note = 0;
    std::array<Hold, k_holds> holds{};
    std::array<double, k_holds> own{};  ///< cost of each hold, whatever comes before
  };

  [[nodiscard]] std::array<double, k_holds> own_costs(std::size_t note, const std::vector<Hold>& held) const {
    const NoteRule& rule = rules_.notes[note];
    const auto all = holds(notes_[note].fret);
    std::array<double, k_holds> costs{};
    for (std::size_t s = 0; s < all.size(); ++s) {
      const auto& [finger, position] = all[s];
      const bool stays = note >= held.size() || (held[note].finger == finger && held[note].position == position);
      costs[s] = !stays || finger != rule.pin.value_or(finger) ? k_never : model_.alone(note, all[s]);
      if (rule.shape != 0 && finger != rule.shape) costs[s] += k_broken_shape;
    }
    return costs;
  }

  /// From the costs of one note's holds to the next's.
  [[nodiscard]] std::array<double, k_holds> step(std::size_t k, const std::array<double, k_holds>& before,
                                                 const std::vector<int>& ties) {
    const Fretted& now = fretted_[k];
    const NoteRule& rule = rules_.notes[now.note];
    const int tied = rule.tie ? ties[*rule.tie] : 0;
    std::array<double, k_holds> next = now.own;
    for (std::size_t s = 0; s < k_holds; ++s) {
      if (tied != 0 && now.holds[s].finger != tied) next[s] += k_broken_tie;
      if (k == 0 || next[s] == k_never) continue;
      const Fretted& last = fretted_[k - 1];
      double best = k_never;
      for (std::size_t p = 0; p < k_holds; ++p) {
        if (before[p] >= best) continue;  // to go on costs nothing at least
        double cost = before[p] + model_.between(last.note, last.holds[p], now.note, now.holds[s]);
        if (breaks(rule.slur, last.holds[p].finger, now.holds[s].finger)) cost += k_broken_slur;
        if (cost >= best) continue;
        best = cost;
        from_[k][s] = p;
      }
      next[s] += best;
    }
    return next;
  }

  [[nodiscard]] static bool breaks(SlurFinger slur, int before, int finger) {
    return (slur == SlurFinger::keeps && before != finger) || (slur == SlurFinger::changes && before == finger);
  }

  const std::vector<LickNote>& notes_;
  const FingerRules& rules_;
  const FingerCostModel& model_;
  std::vector<Fretted> fretted_;
  std::vector<std::array<std::size_t, k_holds>> from_;  ///< the hold before each hold
};

/// The fingers of open ties: branch and bound, from what a greedy choice finds.
class TieSearch {
 public:
  TieSearch(PathFinder& paths, const FingerRules& rules) : paths_(paths), rules_(rules) {}

  Path find() {
    std::vector<int> ties = rules_.ties;
    const Path free = look(ties);
    best_ = free;
    if (widest_split(free, ties)) {
      settle_greedily(ties);
      branch(free, rules_.ties);
    }
    return std::move(best_);
  }
  [[nodiscard]] int searches() const { return searches_; }

 private:
  Path look(const std::vector<int>& ties) {
    ++searches_;
    return paths_.find(ties);
  }

  /// How many notes of each tie each finger plays.
  using Counts = std::vector<std::array<int, 5>>;
  [[nodiscard]] Counts count(const Path& path) const {
    Counts counts(rules_.ties.size());
    for (std::size_t i = 0; i < path.holds.size(); ++i) {
      if (const auto tie = rules_.notes[i].tie) ++counts[*tie][static_cast<std::size_t>(path.holds[i].finger)];
    }
    return counts;
  }

  [[nodiscard]] static int most(const std::array<int, 5>& fingers) {
    return static_cast<int>(std::max_element(fingers.begin(), fingers.end()) - fingers.begin());
  }
  /// Notes that the finger most used does not play.
  [[nodiscard]] static int strays(const std::array<int, 5>& fingers) {
    return fingers[1] + fingers[2] + fingers[3] + fingers[4] - fingers[static_cast<std::size_t>(most(fingers))];
  }

  struct Split {
    std::size_t tie = 0;
    int finger = 0;  ///< that plays it most
  };
  /// The open tie with the most notes off its finger; nothing where all keep theirs.
  [[nodiscard]] std::optional<Split> widest_split(const Path& path, const std::vector<int>& ties) const {
    std::optional<Split> widest;
    int notes = 0;
    const Counts counts = count(path);
    for (std::size_t t = 0; t < ties.size(); ++t) {
      if (ties[t] != 0 || strays(counts[t]) <= notes) continue;
      notes = strays(counts[t]);
      widest = Split{t, most(counts[t])};
    }
    return widest;
  }

  /// Sets all split ties to the finger that plays them most, until none is split.
  void settle_greedily(std::vector<int> ties) {
    for (bool split = true; split;) {
      const Counts counts = count(best_);
      split = false;
      for (std::size_t t = 0; t < ties.size(); ++t) {
        if (ties[t] != 0 || strays(counts[t]) == 0) continue;
        ties[t] = most(counts[t]);
        split = true;
      }
      if (split) best_ = look(ties);
    }
  }

  /// `path` is the least for `ties`, and so no dearer than any that sets more of them.
  void branch(const Path& path, const std::vector<int>& ties) {
    if (path.cost >= best_.cost - k_same) return;
    const auto split = widest_split(path, ties);
    if (!split) {
      best_ = path;
      return;
    }
    for (int turn = 0; turn < 4 && searches_ < k_finger_searches; ++turn) {
      std::vector<int> more = ties;
      more[split->tie] = (split->finger - 1 + turn) % 4 + 1;
      branch(look(more), more);
    }
  }

  PathFinder& paths_;
  const FingerRules& rules_;
  Path best_;
  int searches_ = 0;
};

/// Reach, shifts and rolls of a path.
void measure(const std::vector<LickNote>& notes, const FingerCostModel& model, Fingering& result) {
  int low = 0;
  int high = 0;
  std::optional<std::size_t> before;
  for (std::size_t i = 0; i < notes.size(); ++i) {
    if (notes[i].fret == 0) continue;
    if (!before) low = high = notes[i].fret;
    if (before && result.positions[*before] != result.positions[i]) {
      low = high = notes[i].fret;
      ++result.shifts;
      result.travel += model.travel(result.positions[*before], result.positions[i]);
    }
    low = std::min(low, notes[i].fret);
    high = std::max(high, notes[i].fret);
    result.reach = std::max(result.reach, model.span(low, high));
    if (before && result.fingers[*before] == result.fingers[i] && notes[*before].string != notes[i].string &&
        notes[*before].fret == notes[i].fret)
      result.rolls.push_back(i);
    before = i;
  }
}

/// What is wrong with a pin, or nothing.
std::optional<Error> contradiction(const std::vector<LickNote>& notes, const PinnedFinger& pin, std::size_t index) {
  if (pin.note >= notes.size()) return std::nullopt;
  const int fret = notes[pin.note].fret;
  if (fret == 0 ? pin.finger == 0 : pin.finger >= 1 && pin.finger <= 4) return std::nullopt;
  const std::string finger = std::to_string(pin.finger);
  if (fret == 0) return Error{ErrorKind::range, index, "an open string takes no finger (0), not finger " + finger, "0"};
  return Error{ErrorKind::range, index,
               "fret " + std::to_string(fret) + " needs a finger from 1 to 4, not " + finger +
                   (pin.finger == 0 ? " (open string)" : ""),
               "1"};
}

}  // namespace

Result<Fingering> assign_fingers(const CarriedLayout& layout, const std::vector<LickNote>& notes,
                                 const std::vector<PinnedFinger>& pins, const FingerCosts& costs) {
  for (std::size_t p = 0; p < pins.size(); ++p) {
    if (auto error = contradiction(notes, pins[p], p)) return *std::move(error);
  }
  const FingerRules rules = find_finger_rules(layout, notes, notes.size(), pins);
  const FingerCostModel model(layout.ground.neck, notes, costs);
  PathFinder paths(notes, model, rules, {});
  TieSearch search(paths, rules);
  const Path path = search.find();
  Fingering result;
  for (const Hold& hold : path.holds) {
    result.fingers.push_back(hold.finger);
    result.positions.push_back(hold.position);
  }
  result.cost = model.path(path.holds);
  result.searches = search.searches();
  measure(notes, model, result);
  return result;
}

std::vector<int> finger_ending(const CarriedLayout& layout, const EndingOption& ending, const Fingering& body,
                               const FingerCosts& costs) {
  // From the body's last visit on, or from its last fretted note where that visit is open.
  std::size_t first = ending.body.size();
  for (bool fretted = false; first > 0; --first) {
    const LickNote& note = ending.body[first - 1];
    if (note.string != ending.body.back().string && fretted) break;
    fretted = fretted || note.fret > 0;
  }
  std::vector<LickNote> notes(ending.body.begin() + static_cast<std::ptrdiff_t>(first), ending.body.end());
  std::vector<Hold> held;
  std::vector<PinnedFinger> pins;
  for (std::size_t i = 0; i < notes.size(); ++i) {
    held.push_back({body.fingers[first + i], body.positions[first + i]});
    pins.push_back({i, held.back().finger});
  }
  notes.insert(notes.end(), ending.fill.begin(), ending.fill.end());
  notes.push_back(ending.landing);
  const FingerRules rules = find_finger_rules(layout, notes, held.size(), pins);
  const FingerCostModel model(layout.ground.neck, notes, costs);
  PathFinder paths(notes, model, rules, held);
  std::vector<int> fingers;
  const Path path = TieSearch(paths, rules).find();
  for (std::size_t i = held.size(); i < path.holds.size(); ++i) fingers.push_back(path.holds[i].finger);
  return fingers;
}

}  // namespace fretloom
