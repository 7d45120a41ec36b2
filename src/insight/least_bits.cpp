#include "insight/least_bits.h"

#include <algorithm>
#include <array>
#include <cstdint>
#include <numeric>

#include "insight/code_length.h"
#include "insight/rule_fit.h"
#include "lick/rule.h"

namespace fretloom {

namespace {

constexpr LeastBits k_impossible{1e9, Tells::not_all};

/// What a note is to a period, as a number below k_codes: how its scale sees it, or that it does not fit.
constexpr std::size_t k_codes = ScaleView::k_most_seen + 2;
constexpr std::uint8_t k_unfit = ScaleView::k_most_seen + 1;

constexpr bool is_wrong(std::size_t code) { return code == k_unfit || (code & ScaleView::k_outside) != 0; }

/// What speaks against one note of the rule, in notes: four counters in one number, so that a note is one addition.
class Against {
 public:
  enum Field { plain, unfit, sharp, flat };

  void clear() { counts_ = 0; }
  void add(std::uint64_t what) { counts_ += what; }
  void remove(std::uint64_t what) { counts_ -= what; }
  [[nodiscard]] int operator[](Field field) const {
    return static_cast<int>(counts_ >> (k_bits * field) & ((1U << k_bits) - 1));
  }

  /// What a note adds.
  static constexpr std::uint64_t of_code(std::size_t code) {
    if (code == k_unfit) return one(plain) + one(unfit);
    return (is_wrong(code) ? one(plain) : 0) + ((code & ScaleView::k_not_raised) != 0 ? one(sharp) : 0) +
           ((code & ScaleView::k_not_lowered) != 0 ? one(flat) : 0);
  }

 private:
  static constexpr unsigned k_bits = 12;
  static_assert(k_max_given_notes < 1U << k_bits);
  static constexpr std::uint64_t one(Field field) { return std::uint64_t{1} << (k_bits * field); }

  std::uint64_t counts_;  // not set by itself: a bound has room for many more than it uses
};

constexpr std::array<std::uint64_t, k_codes> k_speaks = [] {
  std::array<std::uint64_t, k_codes> speaks{};
  for (std::size_t code = 0; code < k_codes; ++code) speaks[code] = Against::of_code(code);
  return speaks;
}();

/// Notes that cannot follow, and notes of the rule that are altered by a semitone instead.
struct Faults {
  int slips = 0;
  int altered = 0;

  void add(const Faults& more, int times) {
    slips += times * more.slips;
    altered += times * more.altered;
  }

  /// Of one note of the rule, whichever is cheaper: a slip costs more than an alteration.
  static Faults of(const Against& against) {
    const int plain = against[Against::plain];
    const int altered = against[Against::unfit] + std::min(against[Against::sharp], against[Against::flat]);
    return plain > altered ? Faults{altered, 1} : Faults{plain, 0};
  }
};

/// The pairs of notes a period apart that do not rise as most of their group do.
class Rises {
 public:
  static constexpr std::size_t k_most_groups = 128;

  void begin(std::size_t groups) { std::fill_n(rows_.begin(), std::min(groups, k_most_groups), Row{}); }
  /// `kind` tells rises apart; those that share one count as alike.
  void add(std::size_t group, std::size_t kind) {
    if (group >= k_most_groups) return;
    Row& row = rows_[group];
    const std::uint16_t count = ++row.counts[kind % k_kinds];
    if (count > row.most) {
      row.most = count;
    } else {
      ++unusual_;
    }
  }
  void add_unusual() { ++unusual_; }
  [[nodiscard]] int unusual() const { return unusual_; }

 private:
  static constexpr std::size_t k_kinds = 64;
  struct Row {
    std::array<std::uint16_t, k_kinds> counts;
    std::uint16_t most;
  };
  std::array<Row, k_most_groups> rows_;
  int unusual_ = 0;
};

/// This is what the search spends most of its time in: plain arrays, one pass a question.
class Bound {
 public:
  Bound(const ScaleView& view, const Cycle& cycle, double most)
      : view_(view),
        cycle_(cycle),
        size_(cycle.size()),
        out_(cycle.turn.out),
        slip_(misfit_bits(view.notes().size())),
        most_(most + 1e-6 - view.bits() - cycle.bits) {}

  LeastBits run() {
    if (!walk()) return k_impossible;
    return cycle_.turn.back == Back::none ? with_ending() : with_return();
  }

 private:
  /// Of two notes a period apart that both follow the rule. In a cell they rise alike from one string to another; in a
  /// sequence a place of the layout's line goes to one other.
  template <RuleKind kind>
  void compare(std::size_t i) {
    if constexpr (kind == RuleKind::sequence) return rises_.add(view_.spot(i - size_), view_.spot(i));
    constexpr int k_most_rise = 24;
    const int rise = view_.number(i) - view_.number(i - size_);
    if (rise < -k_most_rise || rise > k_most_rise) return rises_.add_unusual();
    rises_.add(cycle_.strings == 0 ? 0 : view_.index(i - size_), static_cast<std::size_t>(rise + k_most_rise));
  }

  /// What speaks against each note of the rule, and how many pairs are unusual among so many notes. False as soon as
  /// it costs too much, wherever an ending begins.
  [[nodiscard]] bool walk() {
    const std::size_t first_end = first_ending();
    for (std::size_t j = 0; j < size_; ++j) {
      all_[j].clear();
      outside_[j].clear();
    }
    add_notes(0, first_end);
    if (cost_too_much()) return false;
    const bool worth = cycle_.kind == RuleKind::sequence ? add_pairs<RuleKind::sequence>(first_end)
                                                         : add_pairs<RuleKind::cell>(first_end);
    if (!worth) return false;
    add_notes(first_end, out_);
    for (std::size_t j = 0; j < size_; ++j) {
      whole_.add(Faults::of(all_[j]), 1);
      whole_outside_.add(Faults::of(outside_[j]), 1);
    }
    return true;
  }
  /// What these notes say by themselves.
  void add_notes(std::size_t begin, std::size_t end) {
    std::size_t j = begin % size_;
    for (std::size_t i = begin; i < end; ++i) {
      all_[j].add(k_speaks[code_of(i)]);
      j = j + 1 == size_ ? 0 : j + 1;
    }
  }
  /// The notes so far by themselves; where none is a slip the whole may yet be told.
  [[nodiscard]] bool cost_too_much() {
    Faults faults{};
    for (std::size_t j = 0; j < size_; ++j) faults.add(Faults::of(all_[j]), 1);
    first_bits_ = slip_ * faults.slips + k_alteration_bits * faults.altered;
    return faults.slips > 0 && first_bits_ >= most_;
  }
  template <RuleKind kind>
  [[nodiscard]] bool add_pairs(std::size_t first_end) {
    // A note of the rule that may be an altered one says nothing of the layout's line: the notes that it makes lie
    // beside it, and a line may leave those out.
    constexpr bool is_sequence = kind == RuleKind::sequence;
    if (is_sequence) find_altered(view_, cycle_, may_be_altered_);
    rises_.begin(is_sequence ? view_.spots().size() : k_max_strings);
    const int too_many = std::max(1, static_cast<int>(2 * most_ / slip_) + 2);
    std::fill_n(unusual_.begin(), size_ + 1, 0);
    std::size_t j = 0;
    for (std::size_t i = size_; i < out_; ++i) {
      if (i == first_end && rises_.unusual() >= too_many) return false;
      if (!is_wrong(code_of(i)) && !is_wrong(code_of(i - size_)) && !(is_sequence && may_be_altered_[j]))
        compare<kind>(i);
      if (rises_.unusual() >= too_many && i < first_end) return false;
      unusual_[i + 1] = static_cast<std::uint16_t>(rises_.unusual());
      j = j + 1 == size_ ? 0 : j + 1;
    }
    j = 0;
    for (std::size_t i = 0; i < out_; ++i) {
      if (is_wrong(code_of(i))) outside_[j].add(k_speaks[code_of(i)]);
      j = j + 1 == size_ ? 0 : j + 1;
    }
    return true;
  }
  [[nodiscard]] std::uint8_t code_of(std::size_t i) const { return cycle_.fits[i] == 0 ? k_unfit : view_.seen(i); }
  /// The least number of notes behind which an ending is worth a look.
  [[nodiscard]] std::size_t first_ending() const {
    const std::size_t all = view_.notes().size();
    if (cycle_.turn.back != Back::none) return out_;
    const auto longest = static_cast<std::size_t>(std::max(0.0, (most_ - k_ending_bits) / k_ending_note_bits));
    return std::max((all + 1) / 2, all - std::min(all, longest));
  }

  /// What the first notes cost at the least. Of a pair that does not rise alike one note is a slip, and a note is in
  /// two pairs; notes that are wrong by themselves are in none.
  struct Cost {
    std::size_t slips = 0;
    double bits = 0;
  };
  [[nodiscard]] Cost cost_of(std::size_t notes) const {
    const int slips = whole_outside_.slips + (unusual_[notes] + 1) / 2;
    return {static_cast<std::size_t>(std::max(whole_.slips, slips)),
            std::max(slip_ * whole_.slips + k_alteration_bits * whole_.altered,
                     slip_ * slips + k_alteration_bits * whole_outside_.altered)};
  }
  /// Leaves a note out of what speaks against the rule.
  void leave_out(std::size_t i) {
    const std::size_t j = i % size_;
    whole_.add(Faults::of(all_[j]), -1);
    all_[j].remove(k_speaks[code_of(i)]);
    whole_.add(Faults::of(all_[j]), 1);
    if (!is_wrong(code_of(i))) return;
    whole_outside_.add(Faults::of(outside_[j]), -1);
    outside_[j].remove(k_speaks[code_of(i)]);
    whole_outside_.add(Faults::of(outside_[j]), 1);
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

  [[nodiscard]] LeastBits with_return() const {
    const std::size_t all = view_.notes().size();
    const Cost cost = cost_of(out_);
    std::size_t slips = std::max(cost.slips, cycle_.turn.differs);
    if (cycle_.turn.back == Back::mirrored) slips = std::max(slips, wrong_in_mirror());
    if (is_too_wrong(slips, 2 * out_)) return k_impossible;
    double bits = view_.bits() + cycle_.bits + k_back_bits + std::max(cost.bits, slip_ * static_cast<double>(slips));
    if (2 * out_ < all) bits += k_ending_bits + k_ending_note_bits * static_cast<double>(all - 2 * out_);
    return {bits, slips > 0 || 2 * out_ < all ? Tells::not_all : Tells::all};
  }

  /// The cheapest ending, if any, as extent_of may cut one off.
  [[nodiscard]] LeastBits with_ending() {
    const std::size_t all = view_.notes().size();
    const Cost whole = cost_of(all);
    double cheapest = is_too_wrong(whole.slips, all) ? most_ : whole.bits;
    if (whole.slips == 0) return result(cheapest, all % size_ == 0 ? Tells::all : Tells::not_all);
    std::size_t counted = all;  // the notes from here on are left out
    for (std::size_t ruled = all - 1; ruled >= 2 * size_ && 2 * ruled >= all; --ruled) {
      double bits = k_ending_bits + k_ending_note_bits * static_cast<double>(all - ruled);
      if (bits + first_bits_ >= cheapest) break;
      const std::size_t cut = ruled % size_;
      if (2 * cut < size_ && cut != 0) continue;
      if (cut != 0) bits += k_cut_bits;
      if (bits + slip_ * ((unusual_[ruled] + 1) / 2) >= cheapest) continue;
      while (counted > ruled) leave_out(--counted);
      const Cost cost = cost_of(ruled);
      if (!is_too_wrong(cost.slips, ruled)) cheapest = std::min(cheapest, bits + cost.bits);
    }
    return cheapest < most_ ? result(cheapest, Tells::not_all) : k_impossible;
  }
  [[nodiscard]] LeastBits result(double bits, Tells tells) const { return {view_.bits() + cycle_.bits + bits, tells}; }

  const ScaleView& view_;
  const Cycle& cycle_;
  std::size_t size_;
  std::size_t out_;
  double slip_;
  double first_bits_ = 0;  ///< of the notes that no ending can take away, by themselves
  double most_;            ///< that slips and an ending may cost, so that it is worth a look
  Rises rises_;
  std::array<bool, k_max_rule_tokens> may_be_altered_;
  std::array<std::uint16_t, k_max_given_notes + 1> unusual_;  ///< pairs among the first notes
  std::array<Against, k_max_rule_tokens> all_;
  std::array<Against, k_max_rule_tokens> outside_;  ///< notes of the scale left aside: these are in the pairs
  Faults whole_;
  Faults whole_outside_;
};

}  // namespace

LeastBits least_bits(const ScaleView& view, const Cycle& cycle, double most) { return Bound(view, cycle, most).run(); }

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
