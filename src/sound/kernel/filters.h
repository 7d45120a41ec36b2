#pragma once
// Small filters in double precision, inlined into the loops that use them.

#include "sound/kernel/math.h"

namespace fretloom::voice {

/// Second-order section, transposed direct form II. Designs: bilinear transform with pre-warped corner
/// (common practice; the formulas are those of the analogue prototypes).
struct Section {
  double b0 = 1, b1 = 0, b2 = 0, a1 = 0, a2 = 0;
  double s1 = 0, s2 = 0;

  double run(double x) {
    const double y = b0 * x + s1;
    s1 = b1 * x - a1 * y + s2;
    s2 = b2 * x - a2 * y;
    return y;
  }
  /// Forgets a state too small to hear, so that silence costs no denormal arithmetic.
  void flush() {
    if (abs_of(s1) < 1e-18) s1 = 0;
    if (abs_of(s2) < 1e-18) s2 = 0;
  }
};

enum class Shape { low_pass, high_pass, bell, high_shelf };

/// `hz` corner or centre, below half the rate; `q` > 0; `db` for bell and shelf only.
inline Section make_section(Shape shape, double hz, double q, double db, double rate) {
  const double w = 2.0 * k_pi * hz / rate;
  const double c = cos_of(w);
  const double alpha = sin_of(w) / (2.0 * q);
  const double a = exp10_of(db / 40.0);
  double b0 = 1, b1 = 0, b2 = 0, a0 = 1, a1 = 0, a2 = 0;
  switch (shape) {
    case Shape::low_pass:
      b1 = 1.0 - c;
      b0 = b2 = 0.5 * b1;
      a0 = 1.0 + alpha;
      a1 = -2.0 * c;
      a2 = 1.0 - alpha;
      break;
    case Shape::high_pass:
      b1 = -(1.0 + c);
      b0 = b2 = -0.5 * b1;
      a0 = 1.0 + alpha;
      a1 = -2.0 * c;
      a2 = 1.0 - alpha;
      break;
    case Shape::bell:
      b0 = 1.0 + alpha * a;
      b1 = a1 = -2.0 * c;
      b2 = 1.0 - alpha * a;
      a0 = 1.0 + alpha / a;
      a2 = 1.0 - alpha / a;
      break;
    case Shape::high_shelf: {
      const double r = 2.0 * sqrt_of(a) * alpha;
      b0 = a * ((a + 1.0) + (a - 1.0) * c + r);
      b1 = -2.0 * a * ((a - 1.0) + (a + 1.0) * c);
      b2 = a * ((a + 1.0) + (a - 1.0) * c - r);
      a0 = (a + 1.0) - (a - 1.0) * c + r;
      a1 = 2.0 * ((a - 1.0) - (a + 1.0) * c);
      a2 = (a + 1.0) - (a - 1.0) * c - r;
      break;
    }
  }
  return {b0 / a0, b1 / a0, b2 / a0, a1 / a0, a2 / a0, 0, 0};
}

/// Halves or doubles the rate: two chains of allpasses whose sum is an elliptic half-band filter.
/// Causal: nothing sounds before its cause. Design: Valenzuela and Constantinides 1983.
template <int N>
struct HalfBand {
  double coefficient[N] = {};
  double x[N] = {};
  double y[N] = {};

  /// `transition`: width of the edge as a part of the higher rate, 0.01 to 0.4. The pass-band ends at
  /// (1/4 - transition/2) of the higher rate.
  void prepare(double transition) {
    const double quarter = (1.0 - 2.0 * transition) * k_pi / 4.0;
    const double tangent = sin_of(quarter) / cos_of(quarter);
    const double k = tangent * tangent;
    const double root = sqrt_of(sqrt_of(1.0 - k * k));
    const double e = 0.5 * (1.0 - root) / (1.0 + root);
    const double e4 = e * e * e * e;
    const double q = e * (1.0 + e4 * (2.0 + e4 * (15.0 + 150.0 * e4)));
    const int order = 2 * N + 1;
    for (int n = 0; n < N; ++n) {
      double top = 0.0;
      double bottom = 0.5;
      for (int i = 0; i < 6; ++i) {
        const double sign = i % 2 == 0 ? 1.0 : -1.0;
        top += sign * pow_of(q, i * (i + 1.0)) * sin_of((2 * i + 1) * (n + 1) * k_pi / order);
        if (i > 0) bottom += sign * pow_of(q, static_cast<double>(i * i)) * cos_of(2 * i * (n + 1) * k_pi / order);
      }
      const double w = top * sqrt_of(sqrt_of(q)) / bottom;
      const double ww = w * w;
      const double r = sqrt_of((1.0 - ww * k) * (1.0 - ww / k)) / (1.0 + ww);
      coefficient[n] = (1.0 - r) / (1.0 + r);
      x[n] = y[n] = 0.0;
    }
  }

  double chain(double in, int first) {
    for (int n = first; n < N; n += 2) {
      const double out = coefficient[n] * (in - y[n]) + x[n];
      x[n] = in;
      y[n] = out;
      in = out;
    }
    return in;
  }
  /// One frame in, two out.
  void up(double in, double* out) {
    out[0] = chain(in, 0);
    out[1] = chain(in, 1);
  }
  /// Two frames in, one out.
  double down(const double* in) { return 0.5 * (chain(in[1], 0) + chain(in[0], 1)); }
  void flush() {
    for (int n = 0; n < N; ++n) {
      if (abs_of(x[n]) < 1e-18) x[n] = 0;
      if (abs_of(y[n]) < 1e-18) y[n] = 0;
    }
  }
};

}  // namespace fretloom::voice
