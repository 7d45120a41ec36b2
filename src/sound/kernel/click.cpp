#include "sound/kernel/click.h"

#include "sound/kernel/math.h"

namespace fretloom::voice {
namespace {

struct KnockMake {
  double hz;
  double level;
};
constexpr KnockMake k_makes[] = {{2093.0, 1.0}, {1760.0, 0.7079}, {1396.91, 0.3162}};  // C7, A6, F6

/// Partials in the ratios of a free wooden bar (1 : 2.756, Fletcher and Rossing), decaying sines by recurrence; the
/// recurrence runs from frame 0 so that a knock cut in two sounds the same. The higher partial dies
/// twice as fast; it lies where a guitar's loudspeaker gives little, so that it is heard under the strings.
struct Bar {
  double a1 = 0, a2 = 0, ca = 0, ra = 0;
  double b1 = 0, b2 = 0, cb = 0, rb = 0;
  int frame = 0;

  constexpr Bar(double hz, double t60) {
    const double w1 = 2.0 * k_pi * hz / k_rate;
    const double w2 = 2.756 * w1;
    const double r1 = exp10_of(-3.0 / (t60 * k_rate));
    const double r2 = exp10_of(-3.0 / (0.5 * t60 * k_rate));
    a2 = -0.5 * sin_of(w1) / r1;
    b2 = -0.5 * sin_of(w2) / r2;
    ca = 2.0 * r1 * cos_of(w1);
    cb = 2.0 * r2 * cos_of(w2);
    ra = r1 * r1;
    rb = r2 * r2;
    next();
  }
  /// The sound at `frame`, and on to the next one.
  constexpr double next() {
    const double now = a1 + b1;
    const double a = ca * a1 - ra * a2;
    a2 = a1;
    a1 = a;
    const double b = cb * b1 - rb * b2;
    b2 = b1;
    b1 = b;
    return now;
  }
};

constexpr int k_meet = 36;      ///< frames in which stick and wood meet
constexpr int k_fade = 480;     ///< frames of silence coming
constexpr double k_dry = 0.07;  ///< decay, seconds
constexpr double k_open = 0.5;

constexpr double shape_of(int frame) {
  if (frame < k_meet) {
    const double x = (frame + 1.0) / (k_meet + 1.0);
    return x * x * (3.0 - 2.0 * x);
  }
  const int left = k_knock_frames - frame;
  return left < k_fade ? static_cast<double>(left) / k_fade : 1.0;
}

constexpr double peak_of(double hz, double t60) {
  Bar bar(hz, t60);
  double peak = 0;
  for (int t = 0; t < 300; ++t) peak = max_of(peak, abs_of(bar.next() * shape_of(t)));
  return peak;
}
constexpr double k_peaks[3][2] = {{peak_of(k_makes[0].hz, k_dry), peak_of(k_makes[0].hz, k_open)},
                                  {peak_of(k_makes[1].hz, k_dry), peak_of(k_makes[1].hz, k_open)},
                                  {peak_of(k_makes[2].hz, k_dry), peak_of(k_makes[2].hz, k_open)}};

}  // namespace

void add_knock(Knock knock, Ring ring, float level, int first, float* out, int count) {
  const int kind = static_cast<int>(knock);
  const int open = static_cast<int>(ring);
  const KnockMake& make = k_makes[kind];
  Bar bar(make.hz, open != 0 ? k_open : k_dry);
  const double scale = static_cast<double>(level) * make.level / k_peaks[kind][open];
  const int last = min_of(k_knock_frames, first + count);
  for (int t = 0; t < last; ++t) {
    const double now = bar.next();
    if (t >= first) out[t - first] += static_cast<float>(scale * shape_of(t) * now);
  }
}

}  // namespace fretloom::voice
