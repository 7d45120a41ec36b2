#include "sound/kernel/loop_design.h"

#include "sound/kernel/math.h"

namespace fretloom::voice {
namespace {

/// |(1 - p) / (1 - p z^-1)| at an angle with the given cosine.
double pole_magnitude(double p, double cosine) { return (1.0 - p) / sqrt_of(1.0 - 2.0 * p * cosine + p * p); }

/// The pole that makes the loss at 5 kHz `ratio` times that at f0 (a quadratic in p), held below the
/// value where the gain at 0 Hz would let slow drift outlive the note.
double loss_pole(const LoopTarget& t, double w0, double period_gain) {
  const double ratio = exp10_of(-3.0 / (t.f0 * t.t60_high)) / period_gain;
  const double r2 = ratio * ratio;
  const double w1 = 2.0 * k_pi * k_high_hz / k_rate;
  const double a = 1.0 - r2;
  const double k = cos_of(w0) - r2 * cos_of(w1);
  double p = 0.0;
  if (a > 1e-9) p = k > a ? (k - sqrt_of(k * k - a * a)) / a : 0.95;
  p = clamp_to(p, 0.0, 0.95);
  const double most = exp10_of(-3.0 / (t.f0 * t.t60 * 1.6));
  while (p > 1e-6 && period_gain / pole_magnitude(p, cos_of(w0)) > most) p *= 0.95;
  return p;
}

/// How many samples earlier partial n must return than the first one.
double wanted_lead(const LoopTarget& t, double n) {
  return k_rate / t.f0 * (1.0 - sqrt_of((1.0 + t.stiffness) / (1.0 + t.stiffness * n * n)));
}

/// The allpass coefficient whose chain gives partial n that lead. The lead grows as c falls: bisection.
/// n is 9, less for high notes: the partials up to the 12th then lie within 15% of their stretch; above,
/// four allpasses stretch less than a string does.
double stretch_for(const LoopTarget& t, double w0, double pole) {
  if (t.stiffness <= 0.0) return 0.0;
  const double n = clamp_to(floor_of(2000.0 / t.f0), 3.0, 9.0);
  const double wn = w0 * n * sqrt_of((1.0 + t.stiffness * n * n) / (1.0 + t.stiffness));
  if (wn >= 0.9 * k_pi) return 0.0;
  const double want = wanted_lead(t, n) - (pole_delay(pole, w0) - pole_delay(pole, wn));
  double low = -0.97;
  double high = 0.0;
  for (int i = 0; i < 32; ++i) {
    const double c = 0.5 * (low + high);
    const double lead = k_allpasses * (allpass_delay(c, w0) - allpass_delay(c, wn));
    if (lead > want) {
      low = c;
    } else {
      high = c;
    }
  }
  return 0.5 * (low + high);
}

/// Third-order Lagrange taps for a delay of 1 + d samples, 0 <= d < 1 (the flat middle of the kernel).
void lagrange(double d, double* h) {
  const double x = 1.0 + d;
  h[0] = -(x - 1.0) * (x - 2.0) * (x - 3.0) / 6.0;
  h[1] = x * (x - 2.0) * (x - 3.0) / 2.0;
  h[2] = -x * (x - 1.0) * (x - 3.0) / 2.0;
  h[3] = x * (x - 1.0) * (x - 2.0) / 6.0;
}

/// Magnitude and phase delay of four taps at w.
void fir_response(const double* h, double w, double* magnitude, double* delay) {
  double re = 0.0;
  double im = 0.0;
  for (int k = 0; k < 4; ++k) {
    re += h[k] * cos_of(w * k);
    im += h[k] * sin_of(w * k);
  }
  *magnitude = sqrt_of(re * re + im * im);
  *delay = atan_of(im / re) / w;
}

}  // namespace

double allpass_delay(double c, double w) { return 1.0 - 2.0 * atan_of(c * sin_of(w) / (1.0 + c * cos_of(w))) / w; }

double pole_delay(double p, double w) { return atan_of(p * sin_of(w) / (1.0 - p * cos_of(w))) / w; }

LoopDesign design_loop(const LoopTarget& asked) {
  LoopTarget t = asked;
  t.f0 = clamp_to(t.f0, 25.0, 3000.0);
  t.t60 = clamp_to(t.t60, 0.01, 30.0);
  t.t60_high = clamp_to(t.t60_high, 0.005, t.t60);
  t.stiffness = clamp_to(t.stiffness, 0.0, 0.01);

  const double w0 = 2.0 * k_pi * t.f0 / k_rate;
  LoopDesign out;
  out.period_gain = exp10_of(-3.0 / (t.f0 * t.t60));
  const double pole = loss_pole(t, w0, out.period_gain);
  const double stretch = stretch_for(t, w0, pole);

  const double delay = k_rate / t.f0 - k_allpasses * allpass_delay(stretch, w0) - pole_delay(pole, w0);
  double h[4];
  double magnitude = 1.0;
  double taps_delay = 0.0;
  // The taps' own delay at f0 differs from the nominal one by less than a thousandth of a sample: one
  // correction leaves an error below a millionth.
  double nominal = delay;
  for (int pass = 0; pass < 2; ++pass) {
    out.delay = static_cast<int>(floor_of(nominal)) - 1;
    lagrange(nominal - floor_of(nominal), h);
    fir_response(h, w0, &magnitude, &taps_delay);
    nominal += delay - (out.delay + taps_delay);
  }
  for (int k = 0; k < 4; ++k) out.tap[k] = static_cast<float>(h[k]);
  out.length = out.delay + 1 + (nominal - floor_of(nominal));
  out.pole = static_cast<float>(pole);
  out.stretch = static_cast<float>(stretch);
  out.gain = static_cast<float>((1.0 - pole) * out.period_gain / (pole_magnitude(pole, cos_of(w0)) * magnitude));
  return out;
}

LoopDesign bent(const LoopDesign& design, double f0, double cents) {
  LoopDesign out = design;
  out.length = design.length - k_rate / f0 * (1.0 - exp2_of(-clamp_to(cents, -100.0, 100.0) / 1200.0));
  out.delay = static_cast<int>(floor_of(out.length)) - 1;
  double h[4];
  lagrange(out.length - floor_of(out.length), h);
  for (int k = 0; k < 4; ++k) out.tap[k] = static_cast<float>(h[k]);
  return out;
}

}  // namespace fretloom::voice
