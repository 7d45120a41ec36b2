#include "sound/kernel/room.h"

#include "sound/kernel/math.h"

namespace fretloom::voice {
namespace {

// Primes from 12 to 55 ms: no two echoes coincide, and the first comes late enough to leave the onset dry.
constexpr int k_length[8] = {577, 811, 1013, 1301, 1553, 1877, 2203, 2633};
constexpr float k_damping = 0.35F;  ///< one-pole loss of highs at each turn: soft walls

}  // namespace

void Room::prepare(double t60) {
  for (int k = 0; k < k_lines; ++k) {
    gain_[k] = static_cast<float>(exp10_of(-3.0 * k_length[k] / (k_rate * clamp_to(t60, 0.1, 5.0))));
    state_[k] = 0;
    for (float& x : line_[k]) x = 0;
  }
  place_ = 0;
  quiet_ = k_size;
}

void Room::run(const float* in, float level, float* left, float* right, int frames) {
  constexpr uint32_t mask = k_size - 1;
  float loudest = 0;
  for (int i = 0; i < frames; ++i) loudest = max_of(loudest, in[i] < 0 ? -in[i] : in[i]);
  if (loudest > 0) quiet_ = 0;
  if (quiet_ >= k_size) return;
  float peak = 0;
  for (int i = 0; i < frames; ++i, ++place_) {
    float v[k_lines];
    for (uint32_t k = 0; k < k_lines; ++k) {
      const float x = line_[k][(place_ - static_cast<uint32_t>(k_length[k])) & mask];
      state_[k] += (1.0F - k_damping) * (x - state_[k]);
      v[k] = state_[k] * gain_[k];
    }
    left[i] += level * (v[0] - v[3] + v[4] - v[7]);
    right[i] += level * (v[1] - v[2] + v[5] - v[6]);
    for (int half = 1; half < k_lines; half *= 2) {
      for (int k = 0; k < k_lines; ++k) {
        if ((k & half) != 0) continue;
        const float a = v[k];
        const float b = v[k + half];
        v[k] = a + b;
        v[k + half] = a - b;
      }
    }
    constexpr float scale = 0.35355339F;
    for (int k = 0; k < k_lines; ++k) {
      line_[k][place_ & mask] = v[k] * scale + (k % 2 == 0 ? in[i] : -in[i]) * 0.35F;
      peak = max_of(peak, v[k] < 0 ? -v[k] : v[k]);
    }
  }
  quiet_ = loudest > 0 || peak > 1e-7F ? 0 : quiet_ + frames;
  if (quiet_ < k_size) return;
  for (auto& line : line_) {
    for (float& x : line) x = 0;
  }
  for (float& x : state_) x = 0;
}

}  // namespace fretloom::voice
