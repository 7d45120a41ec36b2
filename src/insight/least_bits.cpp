#include "insight/least_bits.h"

#include <algorithm>
#include <array>
#include <cstdint>
#include <cstdlib>
#include <functional>

#include "insight/code_length.h"

namespace fretloom {

namespace {

constexpr int k_most_rise = 24;
constexpr std::size_t k_rises = 2 * k_most_rise + 1;

/// What speaks against one note of the rule, in notes.
struct Against {
  std::size_t unfit = 0;    ///< string, time or attack are not the period's
  std::size_t outside = 0;  ///< the scale
  std::size_t pairs = 0;    ///< that rise by another number than most
  std::size_t sharp = 0;    ///< that no raised scale note sounds like
  std::size_t flat = 0;
};

class Bound {
 public:
  Bound(const ScaleView& view, const Cycle& cycle) : view_(view), cycle_(cycle), against_(cycle.size()) {}

  LeastBits run() {
    count_rises();
    for (std::size_t i = 0; i < cycle_.turn.out; ++i) look_at(i);
    LeastBits least = of_rule();
    const double slip = misfit_bits(view_.notes().size());
    const std::size_t all = view_.notes().size();
    if (cycle_.turn.back != Back::none) {
      const std::size_t returned = 2 * cycle_.turn.out;
      slips_ = std::max(slips_, slip * static_cast<double>(cycle_.turn.differs));
      least.bits += slips_ + k_back_bits;
      if (returned < all) least.bits += k_ending_bits + k_ending_note_bits * static_cast<double>(all - returned);
      if (slips_ > 0 || returned < all) least.tells = Tells::not_all;
      return least;
    }
    // An ending in place of the last notes saves at most a slip for each thing that speaks against one of them.
    double least_slips = slips_;
    double saved = 0;
    for (std::size_t ruled = all; slips_ > 0 && 2 * ruled > all;) {
      --ruled;
      saved += slip * events_[ruled];
      const double bits = k_ending_bits + k_ending_note_bits * static_cast<double>(all - ruled);
      if (bits >= least_slips) break;
      least_slips = std::min(least_slips, std::max(0.0, slips_ - saved) + bits);
    }
    if (slips_ > 0 || all % cycle_.size() != 0) least.tells = Tells::not_all;
    least.bits += least_slips;
    return least;
  }

 private:
  [[nodiscard]] bool is_sound(std::size_t i) const { return cycle_.fits[i] && !view_.is_outside(i); }

  /// Which rises are compared with each other: from one string to another; in a sequence all.
  [[nodiscard]] std::size_t group(std::size_t i) const {
    return cycle_.kind == RuleKind::sequence || cycle_.strings == 0 ? 0 : view_.index(i);
  }
  [[nodiscard]] int rise(std::size_t i) const { return view_.number(i + cycle_.size()) - view_.number(i); }

  void count_rises() {
    const bool is_sequence = cycle_.kind == RuleKind::sequence;
    for (std::size_t i = 0; i + cycle_.size() < cycle_.turn.out; ++i) {
      if (!is_sound(i) || !is_sound(i + cycle_.size()) || std::abs(rise(i)) > k_most_rise) continue;
      const std::size_t g = group(i);
      const std::uint16_t count = ++rises_[g][static_cast<std::size_t>(rise(i) + k_most_rise)];
      least_usual_[g] = std::max(least_usual_[g], count);
    }
    // A layout leaves out notes, and strings share some, only between two of its strings: a sequence rises by few
    // different numbers.
    if (!is_sequence) return;
    constexpr std::ptrdiff_t k_different = 3;
    auto sorted = rises_[0];
    std::partial_sort(sorted.begin(), sorted.begin() + k_different, sorted.end(), std::greater<>());
    least_usual_[0] = std::max<std::uint16_t>(sorted[k_different - 1], 1);
  }

  [[nodiscard]] bool is_usual(std::size_t i) const {
    if (std::abs(rise(i)) > k_most_rise) return false;
    return rises_[group(i)][static_cast<std::size_t>(rise(i) + k_most_rise)] >= least_usual_[group(i)];
  }

  void look_at(std::size_t i) {
    Against& against = against_[i % cycle_.size()];
    std::uint8_t events = 0;
    if (!cycle_.fits[i]) {
      ++against.unfit;
      ++events;
    } else {
      const int midi = view_.notes()[i].midi;
      if (!view_.line().has(midi + 11)) ++against.sharp;
      if (!view_.line().has(midi + 1)) ++against.flat;
      if (view_.is_outside(i)) {
        ++against.outside;
        ++events;
      } else if (i >= cycle_.size() && is_sound(i - cycle_.size()) && !is_usual(i - cycle_.size())) {
        ++against.pairs;
        ++events;
      }
    }
    events_.push_back(events);
  }

  /// Scale, rhythm and alterations; the slips go to slips_.
  LeastBits of_rule() {
    const double slip = misfit_bits(view_.notes().size());
    double bits = view_.bits() + cycle_.bits;
    for (const Against& against : against_) {
      slips_ += slip * static_cast<double>(against.unfit);
      const double plain = slip * static_cast<double>(against.outside + (against.pairs + 1) / 2);
      const double altered = k_alteration_bits + slip * static_cast<double>(std::min(against.sharp, against.flat));
      if (plain <= altered) {
        slips_ += plain;
      } else {
        bits += k_alteration_bits;
        slips_ += altered - k_alteration_bits;
      }
    }
    return {bits, Tells::all};
  }

  const ScaleView& view_;
  const Cycle& cycle_;
  std::vector<Against> against_;
  std::array<std::array<std::uint16_t, k_rises>, k_max_strings> rises_{};
  std::array<std::uint16_t, k_max_strings> least_usual_{};
  std::vector<std::uint8_t> events_;  ///< what speaks against each note
  double slips_ = 0;
};

}  // namespace

LeastBits least_bits(const ScaleView& view, const Cycle& cycle) { return Bound(view, cycle).run(); }

double least_bits_of_rhythm(const ScaleView& view, const Cycle& cycle) {
  const double bits = view.bits() + cycle.bits;
  if (cycle.turn.back == Back::none) return bits + static_cast<double>(cycle.unfit) * k_ending_note_bits;
  const double slips = static_cast<double>(std::max(cycle.turn.differs, cycle.unfit));
  return bits + k_back_bits + slips * misfit_bits(view.notes().size());
}

}  // namespace fretloom
