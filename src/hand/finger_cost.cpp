#include "hand/finger_cost.h"

#include <cmath>
#include <limits>
#include <optional>

namespace fretloom {

namespace {

constexpr int k_lowest = -4;  ///< the little finger stretched to fret 0

}  // namespace

FingerCostModel::FingerCostModel(const Neck& neck, const std::vector<LickNote>& notes, const FingerCosts& costs)
    : neck_(neck), notes_(notes), costs_(costs) {
  places_.reserve(static_cast<std::size_t>(neck.highest_fret() + 2 - k_lowest));
  for (int fret = k_lowest; fret <= neck.highest_fret() + 1; ++fret) places_.push_back(compute_place(fret));
}

double FingerCostModel::alone(std::size_t note, const Hold& hold) const {
  const int fret = notes_[note].fret;
  const int off = fret - (hold.position + hold.finger - 1);
  if (off != 0 && off != (hold.finger == 1 ? -1 : 1)) return std::numeric_limits<double>::infinity();
  double cost = hold.finger == 4 ? costs_.little_finger : hold.finger == 3 ? costs_.ring_finger : 0;
  if (off != 0) cost += costs_.stretch * width(fret);
  if (hold.position < 1) cost += costs_.off_neck * (1 - hold.position);
  return cost;
}

double FingerCostModel::between(std::size_t from, const Hold& a, std::size_t to, const Hold& b) const {
  const int fret_step = notes_[to].fret - notes_[from].fret;
  const int finger_step = b.finger - a.finger;
  double cost = a.position == b.position ? 0 : costs_.shift + travel(a.position, b.position).value;
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

double FingerCostModel::path(const std::vector<Hold>& holds) const {
  double total = 0;
  std::optional<std::size_t> before;
  for (std::size_t i = 0; i < holds.size(); ++i) {
    if (notes_[i].fret == 0) continue;
    total += alone(i, holds[i]);
    if (before) total += between(*before, holds[*before], i, holds[i]);
    before = i;
  }
  return total;
}

Millimetres FingerCostModel::travel(int from, int to) const { return Millimetres(std::abs(place(from) - place(to))); }

double FingerCostModel::compute_place(int fret) const {
  return fret_distance(neck_.scale_length, fret + neck_.capo).value;
}

/// From the table, or worked out for a hand that no least path would hold.
double FingerCostModel::place(int position) const {
  const auto at = static_cast<std::size_t>(position - k_lowest);
  return position >= k_lowest && at < places_.size() ? places_[at] : compute_place(position);
}

}  // namespace fretloom
