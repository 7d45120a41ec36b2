#include "score/swing.h"

namespace fretloom {

int swing_pairs(const Meter& meter) {
  if (meter.is_compound()) return 0;
  return meter.denominator == 2 ? 2 : 1;
}

Beats swung(const Meter& meter, const Rational& swing, const Beats& beat) {
  const int pairs = swing_pairs(meter);
  if (pairs == 0 || swing == Rational(1)) return beat;
  const Rational in_pairs = beat.value * Rational(pairs);
  const Rational start(in_pairs.floor());
  const Rational place = in_pairs - start;
  const Rational half(1, 2);
  const Rational long_part = swing / (swing + Rational(1));
  const Rational moved = place <= half ? place * Rational(2) * long_part
                                       : long_part + (place - half) * Rational(2) * (Rational(1) - long_part);
  return Beats((start + moved) / Rational(pairs));
}

}  // namespace fretloom
