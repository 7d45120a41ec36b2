#include "insight/least_bits.h"

#include <algorithm>
#include <array>
#include <cstdint>
#include <functional>
#include <numeric>
#include <optional>

#include "insight/code_length.h"
#include "insight/rule_fit.h"
#include "lick/rule.h"

namespace fretloom {

namespace {

constexpr int k_most_rise = 24;
constexpr LeastBits k_impossible{1e9, Tells::not_all};
constexpr std::uint8_t k_rises = 2 * k_most_rise + 1;
constexpr std::uint8_t k_no_rise = 255;

/// What speaks against one note of the rule, in notes: five counters in one number, so that a note is one addition.
class Against {
 public:
  enum Field { plain, unfit, sharp, flat, pairs };

  /// What one note or pair adds.
  static constexpr std::uint64_t one(Field field) { return std::uint64_t{1} << (k_bits * field); }

  void add(std::uint64_t what) { counts_ += what; }
  [[nodiscard]] std::size_t operator[](Field field) const {
    return static_cast<std::size_t>(counts_ >> (k_bits * field) & ((1U << k_bits) - 1));
  }

 private:
  static constexpr unsigned k_bits = 12;
  static_assert(k_max_given_notes < 1U << k_bits);
  std::uint64_t counts_ = 0;
};

/// What a note is to a period, as a number below k_codes: how its scale sees it, or that it does not fit.
constexpr std::size_t k_codes = ScaleView::k_most_seen + 2;
constexpr std::uint8_t k_unfit = ScaleView::k_most_seen + 1;

constexpr bool is_wrong(std::size_t code) { return code == k_unfit || (code & ScaleView::k_outside) != 0; }

/// What a note of each code speaks against.
constexpr std::array<std::uint64_t, k_codes> k_speaks = [] {
  std::array<std::uint64_t, k_codes> speaks{};
  for (std::size_t code = 0; code < k_unfit; ++code) {
    if (is_wrong(code)) speaks[code] += Against::one(Against::plain);
    if ((code & ScaleView::k_not_raised) != 0) speaks[code] += Against::one(Against::sharp);
    if ((code & ScaleView::k_not_lowered) != 0) speaks[code] += Against::one(Against::flat);
  }
  speaks[k_unfit] = Against::one(Against::plain) + Against::one(Against::unfit);
  return speaks;
}();

/// This is what the search spends most of its time in: plain arrays, one pass a question.
class Bound {
 public:
  Bound(const ScaleView& view, const Cycle& cycle)
      : view_(view), cycle_(cycle), size_(cycle.size()), out_(cycle.turn.out), slip_(misfit_bits(view.notes().size())) {
    std::fill_n(against_.begin(), size_, Against{});
    for (std::size_t i = 0; i < out_; ++i) codes_[i] = cycle.fits[i] == 0 ? k_unfit : view.seen(i);
  }

  LeastBits run() {
    count_rises();
    look_at_notes();
    LeastBits least = of_rule();
    return cycle_.turn.back == Back::none ? with_ending(least) : with_return(least);
  }

 private:
  /// Which rises are compared with each other: from one string to another; in a sequence all.
  [[nodiscard]] std::size_t group(std::size_t i) const { return is_grouped_ ? view_.index(i) : 0; }
  [[nodiscard]] std::uint8_t rise(std::size_t i) const {
    const int rise = view_.number(i + size_) - view_.number(i) + k_most_rise;
    return static_cast<std::uint8_t>(rise < 0 || rise > 2 * k_most_rise ? k_rises : rise);  // the last: too far
  }
  void count_rises() {
    for (std::size_t i = 0; i + size_ < out_; ++i) {
      const bool compares = !is_wrong(codes_[i]) && !is_wrong(codes_[i + size_]);
      rise_[i] = compares ? rise(i) : k_no_rise;
      if (!compares) continue;
      const std::size_t g = group(i);
      const std::uint16_t count = ++rises_[g][rise_[i]];
      least_usual_[g] = std::max(least_usual_[g], count);
    }
    // A layout leaves out notes, and strings share some, only between two of its strings: a sequence rises by few
    // different numbers.
    if (cycle_.kind == RuleKind::cell) return;
    constexpr std::ptrdiff_t k_different = 3;
    auto sorted = rises_[0];
    std::partial_sort(sorted.begin(), sorted.begin() + k_different, sorted.end(), std::greater<>());
    least_usual_[0] = std::max<std::uint16_t>(sorted[k_different - 1], 1);
  }

  void look_at_notes() {
    std::size_t j = 0;
    for (std::size_t i = 0; i < out_; ++i) {
      std::uint64_t speaks = k_speaks[codes_[i]];
      bool event = is_wrong(codes_[i]);
      if (i >= size_ && rise_[i - size_] != k_no_rise) {
        const std::size_t g = group(i - size_);
        const std::size_t r = rise_[i - size_];
        const bool unusual = r == k_rises || rises_[g][r] < least_usual_[g];
        speaks += unusual ? Against::one(Against::pairs) : 0;
        event = event || unusual;
      }
      against_[j].add(speaks);
      events_[i] = event ? 1 : 0;
      j = j + 1 == size_ ? 0 : j + 1;
    }
  }

  /// Scale, rhythm and alterations; the slips go to slips_.
  LeastBits of_rule() {
    double bits = view_.bits() + cycle_.bits;
    std::size_t slips = 0;
    for (std::size_t j = 0; j < size_; ++j) {
      const Against& against = against_[j];
      const std::size_t plain = against[Against::plain] + (against[Against::pairs] + 1) / 2;
      const std::size_t altered = against[Against::unfit] + std::min(against[Against::sharp], against[Against::flat]);
      const bool is_altered =
          slip_ * static_cast<double>(plain) > k_alteration_bits + slip_ * static_cast<double>(altered);
      if (is_altered) bits += k_alteration_bits;
      slips += is_altered ? altered : plain;
    }
    slips_ = slips;
    return {bits, Tells::all};
  }

  /// A note and its mirror image have numbers that make the same sum wherever the note lies on its string. How many
  /// pairs do not, those left aside that may be altered.
  [[nodiscard]] std::size_t wrong_in_mirror() const {
    std::array<bool, k_max_rule_tokens> aside{};
    for (std::size_t i = 0; i < out_; ++i) {
      if (view_.is_outside(i) || view_.is_outside(out_ + i)) aside[i % size_] = true;
    }
    constexpr std::size_t k_sums = 2 * std::size_t{ScaleLine::k_top} + 1;
    std::array<std::array<std::uint16_t, k_sums>, k_max_strings> counts{};
    std::array<std::uint16_t, k_max_strings> most{};
    std::size_t pairs = 0;
    for (std::size_t i = 0; i < out_; ++i) {
      if (aside[i % size_]) continue;
      const std::size_t string = view_.index(i);
      ++pairs;
      const auto sum = static_cast<std::size_t>(view_.number(i) + view_.number(out_ + i));
      most[string] = std::max(most[string], ++counts[string][sum]);
    }
    return pairs - std::accumulate(most.begin(), most.end(), std::size_t{0});
  }

  [[nodiscard]] LeastBits with_return(LeastBits least) const {
    const std::size_t all = view_.notes().size();
    std::size_t slips = std::max(slips_, cycle_.turn.differs);
    if (cycle_.turn.back == Back::mirrored) slips = std::max(slips, wrong_in_mirror());
    if (is_too_wrong(slips, 2 * out_)) return k_impossible;
    least.bits += slip_ * static_cast<double>(slips) + k_back_bits;
    if (2 * out_ < all) least.bits += k_ending_bits + k_ending_note_bits * static_cast<double>(all - 2 * out_);
    if (slips > 0 || 2 * out_ < all) least.tells = Tells::not_all;
    return least;
  }

  /// An ending in place of the last notes saves at most a slip for each thing that speaks against one of them.
  [[nodiscard]] LeastBits with_ending(LeastBits least) const {
    const std::size_t all = view_.notes().size();
    std::optional<double> cheapest;
    std::size_t slips = slips_;
    for (std::size_t ruled = all; 2 * ruled >= all; --ruled) {
      double bits = slip_ * static_cast<double>(slips);
      const double ending = k_ending_bits + k_ending_note_bits * static_cast<double>(all - ruled);
      if (cheapest && ending >= *cheapest) break;
      if (ruled < all) bits += ending;
      if (!is_too_wrong(slips, ruled) && (!cheapest || bits < *cheapest)) cheapest = bits;
      if (slips == 0) break;
      slips -= std::min<std::size_t>(slips, events_[ruled - 1]);
    }
    if (!cheapest) return k_impossible;
    if (slips_ > 0 || all % size_ != 0) least.tells = Tells::not_all;
    least.bits += *cheapest;
    return least;
  }

  const ScaleView& view_;
  const Cycle& cycle_;
  std::size_t size_;
  std::size_t out_;
  double slip_;
  bool is_grouped_ = cycle_.kind == RuleKind::cell && cycle_.strings != 0;
  std::size_t slips_ = 0;
  std::array<std::array<std::uint16_t, k_rises + 1U>, k_max_strings> rises_{};
  std::array<std::uint16_t, k_max_strings> least_usual_{};
  std::array<Against, k_max_rule_tokens> against_;
  std::array<std::uint8_t, k_max_given_notes> codes_;
  std::array<std::uint8_t, k_max_given_notes> rise_;    ///< of each note to the one a period later
  std::array<std::uint8_t, k_max_given_notes> events_;  ///< something speaks against the note
};

}  // namespace

LeastBits least_bits(const ScaleView& view, const Cycle& cycle) { return Bound(view, cycle).run(); }

double least_bits_of_rhythm(const ScaleView& view, const Cycle& cycle) {
  // An altered note of the rule, or a slip, for every note outside the scale.
  const std::size_t repeats = (view.notes().size() + cycle.size() - 1) / cycle.size();
  const double altered = k_alteration_bits * static_cast<double>((view.count_outside() + repeats - 1) / repeats);
  const double bits = view.bits() + cycle.bits + altered;
  if (cycle.turn.back == Back::none) return bits + static_cast<double>(cycle.unfit) * k_ending_note_bits;
  const double slips = static_cast<double>(std::max(cycle.turn.differs, cycle.unfit));
  return bits + k_back_bits + slips * misfit_bits(view.notes().size());
}

}  // namespace fretloom
