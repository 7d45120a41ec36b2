#pragma once
// The rules that tell a phrase shortly.

#include <algorithm>
#include <cstdint>
#include <vector>

#include "insight/code_length.h"
#include "insight/heard.h"
#include "insight/scale_line.h"
#include "neck/layout.h"
#include "score/rule.h"

namespace fretloom {

/// Whether a rule tells the whole phrase in whole repetitions, or leaves notes to slips, an ending or a cut.
enum class Tells : std::uint8_t { all, not_all };

/// What a description is taken to cost beside its bits when it is compared with others.
[[nodiscard]] constexpr double rank_bits(Tells tells) { return tells == Tells::all ? 0 : k_whole_bits; }

/// A rule on a layout that could be behind a phrase.
struct Candidate {
  double bits = 0;  ///< of the whole description (see code_length.h)
  Tells tells = Tells::all;
  std::size_t slips = 0;  ///< notes that do not follow, as far as the search has looked
  PitchSet scale = 0;
  LayoutRule layout;
  RuleKind kind = RuleKind::cell;
  std::vector<RuleToken> tokens;  ///< without places in a text
  Carry carry;
  int start_string = 1;
  int start_ordinal = 1;
  Back back = Back::none;
  int repeats = 2;               ///< on the way out; the last may be cut
  std::size_t ruled = 0;         ///< notes before the ending
  std::vector<HeardNote> notes;  ///< as they were placed

  [[nodiscard]] double rank() const { return bits + rank_bits(tells); }
};

/// Keeps the candidates that are near the best. The same rule is kept on the cheapest layouts only.
class Shortlist {
 public:
  /// `plain_bits`: of the phrase told note by note. `best`: the rank of a description that is known already.
  Shortlist(double margin, double plain_bits, double best = 1e9)
      : margin_(margin), plain_bits_(plain_bits), best_(best) {}

  /// A candidate with more bits is not worth making. One that does not tell all must be shorter than the plain phrase,
  /// and by k_whole_bits shorter than one that does.
  [[nodiscard]] double limit(Tells tells) const {
    return tells == Tells::all ? best_ + margin_ : std::min(best_ + margin_ - k_whole_bits, plain_bits_);
  }
  void add(Candidate candidate);
  /// Fewest bits first.
  [[nodiscard]] std::vector<Candidate> take();

 private:
  double margin_;
  double plain_bits_;
  double best_;  ///< the least rank
  std::vector<Candidate> rows_;
};

}  // namespace fretloom
