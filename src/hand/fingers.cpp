#include "hand/fingers.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace fretloom {

namespace {

constexpr double k_never = std::numeric_limits<double>::infinity();

/// A finger in a hand position.
struct Hold {
  int finger = 1;
  int position = 1;
};

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

class CostModel {
 public:
  CostModel(const Neck& neck, const std::vector<LickNote>& notes, const FingerCosts& costs)
      : neck_(neck), notes_(notes), costs_(costs) {
    places_.reserve(static_cast<std::size_t>(neck.highest_fret() + 2 - k_lowest));
    for (int fret = k_lowest; fret <= neck.highest_fret() + 1; ++fret) {
      places_.push_back(compute_place(fret));
    }
  }

  /// Cost of a hold by itself; never if the finger does not reach.
  [[nodiscard]] double alone(std::size_t note, const Hold& hold) const {
    const int fret = notes_[note].fret;
    const int off = fret - (hold.position + hold.finger - 1);
    if (off != 0 && off != (hold.finger == 1 ? -1 : 1)) return k_never;
    double cost = hold.finger == 4 ? costs_.little_finger : hold.finger == 3 ? costs_.ring_finger : 0;
    if (off != 0) cost += costs_.stretch * width(fret);
    if (hold.position < 1) cost += costs_.off_neck * (1 - hold.position);
    return cost;
  }

  /// Cost of going from one fretted note to the next (open notes between them are passed over).
  [[nodiscard]] double between(std::size_t from, const Hold& a, std::size_t to, const Hold& b) const {
    const int fret_step = notes_[to].fret - notes_[from].fret;
    const int finger_step = b.finger - a.finger;
    double cost = shift(a.position, b.position);
    if (notes_[from].string == notes_[to].string) {
      if (fret_step == 0 && finger_step != 0) cost += costs_.swap;
      const bool crossed = fret_step != 0 && (fret_step > 0 ? finger_step <= 0 : finger_step >= 0);
      if (crossed && a.position == b.position) cost += costs_.order;
    } else if (finger_step == 0) {
      if (fret_step == 0) cost += costs_.roll;
      if (fret_step != 0 && a.position == b.position) cost += costs_.jump;
    }
    return cost;
  }

  /// From one fret's wire to another's, as Neck::span.
  [[nodiscard]] Millimetres span(int low, int high) const { return Millimetres(place(high) - place(low)); }

  /// Way of the hand along the neck.
  [[nodiscard]] double travel(int from, int to) const { return std::abs(place(from) - place(to)); }

 private:
  [[nodiscard]] double shift(int from, int to) const { return from == to ? 0 : costs_.shift + travel(from, to); }
  [[nodiscard]] double compute_place(int fret) const {
    return fret_distance(neck_.scale_length, fret + neck_.capo).value;
  }
  /// From the table, or worked out for a hand that no least path would hold.
  [[nodiscard]] double place(int position) const {
    const auto at = static_cast<std::size_t>(position - k_lowest);
    return position >= k_lowest && at < places_.size() ? places_[at] : compute_place(position);
  }
  [[nodiscard]] double width(int fret) const { return place(fret) - place(fret - 1); }

  static constexpr int k_lowest = -4;  ///< the little finger stretched to fret 0

  const Neck& neck_;
  const std::vector<LickNote>& notes_;
  const FingerCosts& costs_;
  std::vector<double> places_;  ///< distance from the nut of each fret and hand position, from k_lowest
};

/// Least-cost path over the fretted notes.
class Viterbi {
 public:
  Viterbi(const std::vector<LickNote>& notes, const CostModel& model, const std::vector<std::optional<int>>& pinned)
      : notes_(notes), model_(model) {
    for (std::size_t i = 0; i < notes.size(); ++i) {
      if (notes[i].fret > 0) fretted_.push_back(i);
    }
    run(pinned);
  }

  /// Hold of each note; open notes keep the hand of the note before (or the first one after).
  [[nodiscard]] std::vector<Hold> path() const {
    std::vector<Hold> path(notes_.size());
    if (fretted_.empty()) {
      std::fill(path.begin(), path.end(), Hold{0, 1});
      return path;
    }
    auto state = static_cast<std::size_t>(std::min_element(cost_.begin(), cost_.end()) - cost_.begin());
    for (std::size_t k = fretted_.size(); k-- > 0;) {
      path[fretted_[k]] = holds(notes_[fretted_[k]].fret)[state];
      state = from_[k][state];
    }
    int position = path[fretted_.front()].position;
    for (std::size_t i = 0; i < notes_.size(); ++i) {
      if (notes_[i].fret == 0) path[i] = {0, position};
      position = path[i].position;
    }
    return path;
  }

 private:
  void run(const std::vector<std::optional<int>>& pinned) {
    from_.reserve(fretted_.size());
    std::array<Hold, k_holds> before{};
    for (std::size_t k = 0; k < fretted_.size(); ++k) {
      const std::size_t note = fretted_[k];
      const auto now = holds(notes_[note].fret);
      std::array<double, k_holds> next{};
      auto& from = from_.emplace_back();
      for (std::size_t s = 0; s < now.size(); ++s) {
        const bool allowed = !pinned[note] || *pinned[note] == now[s].finger;
        const double own = allowed ? model_.alone(note, now[s]) : k_never;
        next[s] = own;
        if (k == 0 || own == k_never) continue;
        double best = k_never;
        for (std::size_t p = 0; p < before.size(); ++p) {
          if (cost_[p] >= best) continue;  // to go on costs nothing at least
          const double cost = cost_[p] + model_.between(fretted_[k - 1], before[p], note, now[s]);
          if (cost < best) {
            best = cost;
            from[s] = p;
          }
        }
        next[s] = own + best;
      }
      cost_ = next;
      before = now;
    }
  }

  const std::vector<LickNote>& notes_;
  const CostModel& model_;
  std::vector<std::size_t> fretted_;
  std::array<double, k_holds> cost_{};
  std::vector<std::array<std::size_t, k_holds>> from_;
};

/// Reach, shifts and rolls of a path.
void measure(const std::vector<LickNote>& notes, const CostModel& model, Fingering& result) {
  int low = 0;
  int high = 0;
  std::optional<std::size_t> before;
  for (std::size_t i = 0; i < notes.size(); ++i) {
    if (notes[i].fret == 0) continue;
    if (!before) low = high = notes[i].fret;
    if (before && result.positions[*before] != result.positions[i]) {
      low = high = notes[i].fret;
      ++result.shifts;
      result.travel += Millimetres(model.travel(result.positions[*before], result.positions[i]));
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

double path_cost(const CostModel& model, const std::vector<LickNote>& notes, const std::vector<int>& fingers,
                 const std::vector<int>& positions) {
  double total = 0;
  std::optional<std::size_t> before;
  for (std::size_t i = 0; i < notes.size(); ++i) {
    if (notes[i].fret == 0) continue;
    const Hold hold{fingers[i], positions[i]};
    total += model.alone(i, hold);
    if (before) total += model.between(*before, {fingers[*before], positions[*before]}, i, hold);
    before = i;
  }
  return total;
}

}  // namespace

Result<Fingering> assign_fingers(const Neck& neck, const std::vector<LickNote>& notes,
                                 const std::vector<PinnedFinger>& pins, const FingerCosts& costs) {
  std::vector<std::optional<int>> pinned(notes.size());
  for (std::size_t p = 0; p < pins.size(); ++p) {
    if (pins[p].note >= notes.size()) continue;
    const bool open = notes[pins[p].note].fret == 0;
    if (open ? pins[p].finger != 0 : pins[p].finger < 1 || pins[p].finger > 4) {
      const std::string what = open ? "an open string takes no finger (0), not finger " + std::to_string(pins[p].finger)
                                    : "fret " + std::to_string(notes[pins[p].note].fret) +
                                          " needs a finger from 1 to 4, not " + std::to_string(pins[p].finger) +
                                          (pins[p].finger == 0 ? " (open string)" : "");
      return Error{ErrorKind::range, p, what, open ? "0" : "1"};
    }
    pinned[pins[p].note] = pins[p].finger;
  }
  const CostModel model(neck, notes, costs);
  Fingering result;
  for (const Hold& hold : Viterbi(notes, model, pinned).path()) {
    result.fingers.push_back(hold.finger);
    result.positions.push_back(hold.position);
  }
  result.cost = path_cost(model, notes, result.fingers, result.positions);
  measure(notes, model, result);
  return result;
}

double fingering_cost(const Neck& neck, const std::vector<LickNote>& notes, const std::vector<int>& fingers,
                      const std::vector<int>& positions, const FingerCosts& costs) {
  return path_cost(CostModel(neck, notes, costs), notes, fingers, positions);
}

}  // namespace fretloom
