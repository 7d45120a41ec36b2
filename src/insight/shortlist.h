#pragma once
// The rules that tell a phrase shortly.

#include <algorithm>
#include <vector>

#include "insight/heard.h"
#include "insight/scale_line.h"
#include "neck/layout.h"
#include "score/rule.h"

namespace fretloom {

/// A rule on a layout that could be behind a phrase.
struct Candidate {
  double bits = 0;  ///< of the whole description (see code_length.h)
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
};

/// Whether a description tells every note by its rule, or some as slips or an ending.
enum class Tells { all, not_all };

/// Keeps the candidates that are near the best. The same rule on several layouts is kept once, on the cheapest.
class Shortlist {
 public:
  /// `plain_bits`: of the phrase told note by note. `best`: of a description that is known already.
  Shortlist(double margin, double plain_bits, double best = 1e9)
      : margin_(margin), plain_bits_(plain_bits), best_(best) {}

  /// A candidate above this is not worth making. One that leaves notes to slips or an ending must be shorter than the
  /// plain phrase; one that tells all is an answer however long it is.
  [[nodiscard]] double limit(Tells tells) const {
    return tells == Tells::all ? best_ + margin_ : std::min(best_ + margin_, plain_bits_);
  }
  void add(Candidate candidate);
  /// Fewest bits first.
  [[nodiscard]] std::vector<Candidate> take();

 private:
  double margin_;
  double plain_bits_;
  double best_;
  std::vector<Candidate> rows_;
};

}  // namespace fretloom
