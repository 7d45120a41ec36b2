#pragma once
// Meters and the division of their beat.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "base/units.h"

namespace fretloom {

/// A meter. A beat is the denominator's note, or three of them in compound meters (6, 9 or 12 over 8
/// or 16). Additive meters ("2+2+3/8") count the denominator's note and group it.
struct Meter {
  std::vector<int> groups = {4};  ///< numerators; one unless additive
  int denominator = 4;            ///< 2, 4, 8 or 16

  [[nodiscard]] int numerator() const;  ///< sum of the groups
  [[nodiscard]] bool is_compound() const;
  [[nodiscard]] bool is_additive() const { return groups.size() > 1; }
  [[nodiscard]] int beats_per_bar() const;
  /// Length of one beat as a fraction of a whole note: 1/4, or 3/8 in 6/8.
  [[nodiscard]] Rational beat_value() const;
  /// Beats (from 0) of a bar that are strong: 0 and 2 in 4/4, group starts in additive meters, else 0.
  [[nodiscard]] std::vector<int> strong_beats() const;
  /// "4/4", "2+2+3/8".
  [[nodiscard]] std::string name() const;

  friend bool operator==(const Meter&, const Meter&) = default;
};

/// Reads "4/4" or "2+2+3/8". Legal: groups 1 to 32 in sum, denominator 2, 4, 8 or 16.
[[nodiscard]] Result<Meter> parse_meter(std::string_view text);

/// k notes in the time of `normal`.
struct TupletRatio {
  int actual = 3;
  int normal = 2;

  [[nodiscard]] std::string name() const { return std::to_string(actual) + ":" + std::to_string(normal); }
  friend bool operator==(const TupletRatio&, const TupletRatio&) = default;
};

/// How k equal notes fill one beat, k from 1 to 12. Simple beat: k over the largest power of two not
/// above it, plain (nothing) if equal: 3:2, 5:4, 6:4, 7:4, 9:8. Compound beat: 1, 3, 6, 12 plain; 2:3,
/// 4:3, 5:3, 7 to 11 over 6.
[[nodiscard]] std::optional<TupletRatio> tuplet_ratio(const Meter& meter, int notes_per_beat);

/// The written value of one of k notes a beat, as a fraction of a whole note and before the tuplet
/// ratio: 1/16 for four in 4/4, 1/16 for six in 4/4 (6:4), 1/8 for three in 6/8.
[[nodiscard]] Rational written_value(const Meter& meter, int notes_per_beat);

/// Number of the bar that holds a beat: 1 for 0 <= beat < one bar, 0 and less in pick-up bars.
[[nodiscard]] std::int64_t bar_of(const Meter& meter, const Beats& beat);
/// Place within its bar, in [0, beats_per_bar).
[[nodiscard]] Beats beat_in_bar(const Meter& meter, const Beats& beat);

}  // namespace fretloom
