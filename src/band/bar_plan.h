#pragma once
// How a rhythm section feels a bar: in pulses about as long as a quarter note, each with its role in the pattern.

#include <vector>

#include "score/meter.h"

namespace fretloom {

/// One felt beat. A pattern's cell for it has `steps` steps, of which the first is the pulse itself.
struct Pulse {
  Rational onset;  ///< beats from the bar line
  Rational step;   ///< length of a step in beats
  int steps = 4;   ///< 1 to 6; 4 is a quarter in sixteenths, 6 a dotted quarter
  int role = 0;    ///< 0 to 3: which cell of a pattern of four, as in 4/4

  [[nodiscard]] Rational end() const { return onset + step * Rational(steps); }
};

/// A bar in two or one pulse is a half or a quarter of the pattern: bar i plays roles[i modulo their number].
struct BarPlan {
  std::vector<Pulse> pulses;            ///< in order, filling the bar
  std::vector<std::vector<int>> roles;  ///< of each bar of the cycle: one role a pulse
  bool coarse = false;                  ///< off-steps do not fall on the meter's own divisions and are left out
  Rational pulse_seconds;               ///< of a pulse of four steps

  /// Bars until the roles repeat: 1, 2 or 4.
  [[nodiscard]] int cycle() const { return static_cast<int>(roles.size()); }
  [[nodiscard]] Pulse pulse(int bar, std::size_t index) const;
};

/// What the middle pulse of a bar of three is: waltz time goes on from the first to the back-beats (roles 0 1 3), a
/// half-time pattern to its middle (0 1 2).
enum class ThreeFeel { back_beats, middle };

/// A pulse is four sixteenths, a compound beat six, a rest of a bar or group that fills neither what is left: 7/8 is
/// 4 4 6, 5/8 is 4 6, 3/8 is 6, 1/16 is 1. Additive groups are kept. Of the pulses of a bar, or of each additive group
/// of more than one, two have the roles 0 1, three see ThreeFeel, four 0 to 3, five 3 + 2, six 3 + 3, seven 4 + 3, more
/// four and the rest. Where four steps would last under a quarter of a second the pulses are twice as long, where they
/// would last over two seconds half as long, a compound beat then its three parts (our choice, after cut time and
/// double time). Common practice, no source. Precondition: bpm > 0.
[[nodiscard]] BarPlan plan_bar(const Meter& meter, const Rational& bpm, ThreeFeel three);

}  // namespace fretloom
