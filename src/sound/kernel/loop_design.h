#pragma once
// From physics to the coefficients of one string loop.
//
//   line --> fractional delay --> loss (one pole) --> 4 allpasses (stiffness) --+--> line
//                                                                pluck --------'
//
// One turn of the loop takes one period of the fundamental. Extended plucked string: Karplus and Strong
// 1983, Jaffe and Smith 1983. Stiffness: partials at n f0 sqrt(1 + B n^2), B by Fletcher and Rossing,
// The Physics of Musical Instruments.

namespace fretloom::voice {

constexpr int k_allpasses = 4;
constexpr double k_high_hz = 5000.0;  ///< where LoopTarget::t60_high is asked

/// What a string should do.
struct LoopTarget {
  double f0 = 110.0;      ///< frequency of the first partial, Hz, 25 to 3000
  double t60 = 4.0;       ///< seconds in which the first partial falls by 60 dB, 0.01 to 30
  double t60_high = 0.5;  ///< the same at 5 kHz (an aim: lowered brightness wins over an unstable loop)
  double stiffness = 0;   ///< inharmonicity B, 0 to 0.01
};

/// What the loop must be to do it.
struct LoopDesign {
  int delay = 100;              ///< whole samples before the first tap
  float tap[4] = {0, 1, 0, 0};  ///< third-order Lagrange interpolation behind it
  float gain = 0.99F;           ///< of the loss filter's input: y = gain x + pole y'
  float pole = 0.0F;
  float stretch = 0.0F;       ///< allpass coefficient, -1 < c <= 0
  double length = 102;        ///< nominal delay of the line and its taps, samples
  double period_gain = 0.99;  ///< of the first partial in one period: 10^(-3 / (f0 t60))
};

/// Total; targets out of range are taken at the nearest end of it. The first partial's frequency and
/// decay are met exactly: the phase delay and the magnitude of every part at f0 are subtracted.
[[nodiscard]] LoopDesign design_loop(const LoopTarget& asked);

/// The same loop with its line shortened (or lengthened) to sound `cents` higher, for a finger that bends the string.
/// Range: -100 to 100. The taps' own delay is taken at its nominal value: within 0.1 cents.
[[nodiscard]] LoopDesign bent(const LoopDesign& design, double f0, double cents);

/// Phase delay in samples of one first-order allpass (c + z^-1) / (1 + c z^-1) at w radians a sample.
[[nodiscard]] double allpass_delay(double c, double w);
/// Phase delay in samples of 1 / (1 - p z^-1) at w radians a sample.
[[nodiscard]] double pole_delay(double p, double w);

}  // namespace fretloom::voice
