#include "sound/kernel/click.h"

#include "sound/kernel/math.h"

namespace fretloom::voice {
namespace {

struct KnockMake {
  double hz;
  double level;
};
constexpr KnockMake k_makes[] = {{1568.0, 1.0}, {1174.66, 0.7}, {880.0, 0.32}};

}  // namespace

void add_knock(Knock knock, float level, int first, float* out, int count) {
  const KnockMake& make = k_makes[static_cast<int>(knock)];
  // Two partials in the ratio of a free wooden bar (1 : 2.756, Fletcher and Rossing), each a decaying
  // cosine by recurrence; the recurrence runs from frame 0 so that a knock cut in two sounds the same.
  const double w1 = 2.0 * k_pi * make.hz / k_rate;
  const double w2 = 2.756 * w1;
  const double r1 = exp10_of(-3.0 / (0.06 * k_rate));
  const double r2 = exp10_of(-3.0 / (0.02 * k_rate));
  double a1 = 0.7, a2 = 0.7 * cos_of(w1) / r1;
  double b1 = 0.3, b2 = 0.3 * cos_of(w2) / r2;
  const double ca = 2.0 * r1 * cos_of(w1), cb = 2.0 * r2 * cos_of(w2);
  const double scale = static_cast<double>(level) * make.level;
  const int last = min_of(k_knock_frames, first + count);
  for (int t = 0; t < last; ++t) {
    const double fade = t < k_knock_frames - 480 ? 1.0 : (k_knock_frames - t) / 480.0;
    if (t >= first) out[t - first] += static_cast<float>(scale * fade * (a1 + b1));
    const double a = ca * a1 - r1 * r1 * a2;
    a2 = a1;
    a1 = a;
    const double b = cb * b1 - r2 * r2 * b2;
    b2 = b1;
    b1 = b;
  }
}

}  // namespace fretloom::voice
