#pragma once
// One string: a loop of one period, a hand that fingers and damps it, a pick that sets it going and a
// pickup that hears it.

#include <stdint.h>

#include "sound/kernel/loop_design.h"

namespace fretloom::voice {

/// What makes one string differ from its neighbours. Distances are parts of the open string's length,
/// measured from the bridge.
struct StringMake {
  double open_hz = 110.0;   ///< 25 to 1000
  double open_t60 = 5.0;    ///< seconds, first partial of the open string
  double high_t60 = 0.4;    ///< seconds, at 5 kHz
  double stiffness = 1e-4;  ///< inharmonicity B of the open string; grows with the square of the shortening
  double pickup = 0.12;     ///< 0.02 to 0.45
  float level = 1.0F;
  float roughness = 0.03F;  ///< noise of pick and finger on the winding, part of a stroke's level
};

/// How the string is set going. `position` as above; `edge` is the time in samples in which the string
/// slips off the pick: short is bright.
struct Strike {
  double position = 0.12;
  float edge = 14.0F;
  float bite = 0.6F;  ///< hardness of the release: a knock at both edges, 0 to 4, lifts what lies above ~2 kHz
  float level = 1.0F;
  float noise = 1.0F;      ///< times the string's roughness
  int noise_length = 200;  ///< samples
  bool upward = false;     ///< the string is released the other way
  uint32_t seed = 0;
};

class PluckedString {
 public:
  static constexpr int k_most = 64;  ///< frames in one call of render
  static constexpr int k_size = 2048;

  void prepare(const StringMake& make);

  /// Sets the string going at the next frame, added to what still rings.
  void strike(const Strike& strike);
  /// Stops the string at `fret` (0 = open) with `mute` from 0 to 1 (palm on the bridge), sounding so
  /// after `frames` of cross-fade between the old and the new length.
  void finger(int fret, double mute, int frames);
  /// A finger or the pick lies on the string: in `frames` the first partial's decay falls to `t60`
  /// seconds. Fingering or striking anew lifts it, where `finger` is called first.
  void damp(double t60, int frames);

  /// Adds the next `frames` (1 to k_most) to `out`.
  void render(float* out, int frames);

  [[nodiscard]] int fret() const { return fret_; }
  [[nodiscard]] bool is_idle() const { return idle_; }
  /// The asked decay of the first partial at a fret, seconds: what a test may hold the sound against.
  [[nodiscard]] double asked_t60(int fret, double mute) const;
  [[nodiscard]] double asked_hz(int fret) const;
  [[nodiscard]] double asked_stiffness(int fret) const;

 private:
  struct Pulse {
    int at = 0;
    int length = 0;  ///< 0 = spent
    float width = 0;
    float edge = 1;
    float level = 0;
    float bite = 0;
    float noise = 0;
    int noise_length = 0;
    uint32_t seed = 0;
  };

  static void add_pulse(Pulse& pulse, float* excitation, int frames);
  void ramp_to(const LoopDesign& design, float hold, int frames);
  void run_moving(const float* excitation, float* out, int frames);
  void run_steady(const float* excitation, float* out, int frames);
  void settle();

  StringMake make_;
  LoopDesign design_;  ///< where the string is, or is going
  LoopDesign before_;  ///< where it comes from while ramp_left_ > 0
  int fret_ = 0;
  double mute_ = 0.0;

  int ramp_left_ = 0;
  float fade_ = 1.0F, fade_step_ = 0.0F;                    ///< weight of the new length
  float hold_ = 1.0F, hold_end_ = 1.0F, hold_step_ = 0.0F;  ///< extra factor in the loop: fingers that damp
  float pole_ = 0, pole_step_ = 0, stretch_ = 0, stretch_step_ = 0, gain_ = 0, gain_step_ = 0;

  float loss_ = 0.0F;
  float chain_[k_allpasses + 1] = {};
  Pulse pulses_[2];
  int next_pulse_ = 0;

  int pickup_delay_ = 10;
  float pickup_near_ = 1.0F, pickup_far_ = 0.0F;
  uint32_t place_ = 0;
  int quiet_ = 0;
  bool idle_ = true;
  float line_[k_size] = {};
};

}  // namespace fretloom::voice
