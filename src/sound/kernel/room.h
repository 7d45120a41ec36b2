#pragma once
// A small room: eight delay lines fed back through a Hadamard matrix (Jot and Chaigne 1991), each with
// its own loss so that all decay together; lines share one array.

#include <stdint.h>

namespace fretloom::voice {

class Room {
 public:
  /// `t60` seconds, 0.1 to 5.
  void prepare(double t60);
  /// Adds the room's answer to `in` (mono) to both sides, times `level`. In and out may not overlap.
  void run(const float* in, float level, float* left, float* right, int frames);

 private:
  static constexpr int k_lines = 8;
  static constexpr int k_size = 4096;
  float gain_[k_lines] = {};
  float state_[k_lines] = {};
  float line_[k_lines][k_size] = {};
  uint32_t place_ = 0;
  int quiet_ = 0;
};

}  // namespace fretloom::voice
