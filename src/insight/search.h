#pragma once
// The rules that tell a phrase shortly.

#include <vector>

#include "insight/cycle.h"
#include "insight/heard.h"
#include "insight/layouts.h"

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

/// Keeps the candidates that are near the best. The same rule on several layouts is kept once, on the cheapest.
class Shortlist {
 public:
  /// A candidate above this is not worth making.
  [[nodiscard]] double limit() const { return best_ + margin_; }
  void add(Candidate candidate);
  /// Fewest bits first.
  [[nodiscard]] std::vector<Candidate> take();

  explicit Shortlist(double margin) : margin_(margin) {}

 private:
  double margin_;
  double best_ = 1e9;
  std::vector<Candidate> rows_;
};

/// Tells the phrase by every rule on every scale and layout, as long as that may still be short enough. The
/// phrase's notes have places; at least two.
void search_rules(const HeardPhrase& phrase, Shortlist& shortlist);

/// What repeats in a phrase, found once for all scales and layouts.
struct Periods {
  std::vector<Cycle> cycles;
};
[[nodiscard]] Periods find_periods(const HeardPhrase& phrase);

/// The same on one layout alone.
void search_on(const HeardPhrase& phrase, const Periods& periods, const ScaleLine& line, double scale_bits,
               const LayoutFamily& family, Shortlist& shortlist);

}  // namespace fretloom
