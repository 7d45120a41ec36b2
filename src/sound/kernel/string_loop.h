#pragma once
// One plane in which a string vibrates: a delay line of one period with its losses, fed back.

#include <stdint.h>

#include "sound/kernel/loop_design.h"

namespace fretloom::voice {

class StringLoop {
 public:
  static constexpr int k_size = 2048;

  /// Where the pickup hears the string: samples from the bridge's end; 0: at the bridge itself, where the force of the
  /// string on it is heard and no comb.
  void prepare(double pickup_samples);
  /// From where it is to `design` and to `hold` (an extra factor a turn: fingers that damp) in `frames`.
  void ramp_to(const LoopDesign& design, float hold, int frames);
  /// Adds `level` times what the pickup hears.
  void run(const float* excitation, float level, float* out, int frames);
  /// Still at once: nothing lingers as denormal numbers.
  void settle();

  [[nodiscard]] const LoopDesign& design() const { return design_; }
  [[nodiscard]] float hold() const { return hold_end_; }
  /// Largest value of the last `frames`, by every fourth.
  [[nodiscard]] float peak(int frames) const;
  /// Root mean square of what the pickup heard in the last turn.
  [[nodiscard]] double heard() const;
  /// The same for a stroke of height 1 whose pulse fills `width` samples of a turn.
  [[nodiscard]] double heard_of(double width) const;

 private:
  void run_moving(const float* excitation, float level, float* out, int frames);
  void run_steady(const float* excitation, float level, float* out, int frames);

  LoopDesign design_;  ///< where the loop is, or is going
  LoopDesign before_;  ///< where it comes from while ramp_left_ > 0
  int ramp_left_ = 0;
  float fade_ = 1.0F, fade_step_ = 0.0F;  ///< weight of the new length
  float hold_ = 1.0F, hold_end_ = 1.0F, hold_step_ = 0.0F;
  float pole_ = 0, pole_step_ = 0, stretch_ = 0, stretch_step_ = 0, gain_ = 0, gain_step_ = 0;

  float loss_ = 0.0F;
  float chain_[k_allpasses + 1] = {};
  int pickup_delay_ = 10;
  float pickup_near_ = 1.0F, pickup_far_ = 0.0F;
  uint32_t place_ = 0;
  float line_[k_size] = {};
};

}  // namespace fretloom::voice
