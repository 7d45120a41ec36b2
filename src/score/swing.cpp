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

bool can_swing(int notes_per_beat) {
  return notes_per_beat == 1 || notes_per_beat == 2 || notes_per_beat == 4 || notes_per_beat == 8;
}

bool swings(const Vamp& vamp, const Meter& meter, int notes_per_beat) {
  return vamp.swing != Rational(1) && swing_pairs(meter) > 0 && can_swing(notes_per_beat);
}

Score swung(const Meter& meter, const Rational& swing, const Score& score) {
  Score played = score;
  if (!can_swing(score.notes_per_beat)) return played;
  const auto move = [&](const Beats& beat) { return swung(meter, swing, beat); };
  for (ScoreNote& note : played.notes) {
    const Beats end = move(note.onset + note.duration);
    note.onset = move(note.onset);
    note.duration = end - note.onset;
  }
  played.start = move(score.start);
  played.end = move(score.end);
  return played;
}

}  // namespace fretloom
