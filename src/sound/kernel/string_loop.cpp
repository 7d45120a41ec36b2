#include "sound/kernel/string_loop.h"

#include "sound/kernel/math.h"

namespace fretloom::voice {
namespace {

constexpr uint32_t k_mask = StringLoop::k_size - 1;

}  // namespace

void StringLoop::prepare(double pickup_samples) {
  const bool at_bridge = pickup_samples <= 0.0;
  pickup_delay_ = static_cast<int>(pickup_samples);
  pickup_far_ = at_bridge ? 0.0F : static_cast<float>(pickup_samples - pickup_delay_);
  pickup_near_ = at_bridge ? 0.0F : 1.0F - pickup_far_;
  place_ = 0;
  ramp_left_ = 0;
  hold_ = hold_end_ = 1.0F;
  settle();
}

// A ramp that interrupts another starts from where the coefficients are; only the fade of lengths starts
// afresh, from the length that had the greater weight.
void StringLoop::ramp_to(const LoopDesign& design, float hold, int frames) {
  if (ramp_left_ == 0 || fade_ >= 0.5F) before_ = design_;
  design_ = design;
  hold_end_ = hold;
  ramp_left_ = max_of(frames, 0);
  if (ramp_left_ == 0) {
    gain_ = design.gain;
    pole_ = design.pole;
    stretch_ = design.stretch;
    hold_ = hold;
    fade_ = 1.0F;
    return;
  }
  const float part = 1.0F / static_cast<float>(ramp_left_);
  fade_ = 0.0F;
  fade_step_ = part;
  hold_step_ = (hold - hold_) * part;
  gain_step_ = (design.gain - gain_) * part;
  pole_step_ = (design.pole - pole_) * part;
  stretch_step_ = (design.stretch - stretch_) * part;
}

void StringLoop::run(const float* excitation, float level, float* out, int frames) {
  const int moving = min_of(frames, ramp_left_);
  if (moving > 0) run_moving(excitation, level, out, moving);
  if (frames > moving) run_steady(excitation + moving, level, out + moving, frames - moving);
}

void StringLoop::run_moving(const float* excitation, float level, float* out, int frames) {
  for (int i = 0; i < frames; ++i) {
    fade_ += fade_step_;
    hold_ += hold_step_;
    gain_ += gain_step_;
    pole_ += pole_step_;
    stretch_ += stretch_step_;
    float was = 0.0F;
    float is = 0.0F;
    for (uint32_t k = 0; k < 4; ++k) {
      was += before_.tap[k] * line_[(place_ - static_cast<uint32_t>(before_.delay) - k) & k_mask];
      is += design_.tap[k] * line_[(place_ - static_cast<uint32_t>(design_.delay) - k) & k_mask];
    }
    loss_ = gain_ * (was + (is - was) * fade_) + pole_ * loss_;
    float x = loss_;
    for (int k = 0; k < k_allpasses; ++k) {
      const float y = stretch_ * (x - chain_[k + 1]) + chain_[k];
      chain_[k] = x;
      x = y;
    }
    chain_[k_allpasses] = x;
    const float v = x * hold_ + excitation[i];
    line_[place_ & k_mask] = v;
    const uint32_t behind = place_ - static_cast<uint32_t>(pickup_delay_);
    out[i] += level * (v - (pickup_near_ * line_[behind & k_mask] + pickup_far_ * line_[(behind - 1) & k_mask]));
    ++place_;
  }
  ramp_left_ -= frames;
  if (ramp_left_ > 0) return;
  gain_ = design_.gain;
  pole_ = design_.pole;
  stretch_ = design_.stretch;
  hold_ = hold_end_;
  fade_ = 1.0F;
}

void StringLoop::run_steady(const float* excitation, float level, float* out, int frames) {
  static_assert(k_allpasses == 4);
  const float gain = gain_, pole = pole_, c = stretch_, hold = hold_;
  const float h0 = design_.tap[0], h1 = design_.tap[1], h2 = design_.tap[2], h3 = design_.tap[3];
  const float near = pickup_near_, far = pickup_far_;
  float loss = loss_, a0 = chain_[0], a1 = chain_[1], a2 = chain_[2], a3 = chain_[3], a4 = chain_[4];
  uint32_t at = place_, from = place_ - static_cast<uint32_t>(design_.delay);
  uint32_t behind = place_ - static_cast<uint32_t>(pickup_delay_);
  float t1 = line_[(from - 1) & k_mask], t2 = line_[(from - 2) & k_mask], t3 = line_[(from - 3) & k_mask];
  float b1 = line_[(behind - 1) & k_mask];
  for (int i = 0; i < frames; ++i) {
    const float t0 = line_[from++ & k_mask];
    loss = gain * ((h0 * t0 + h1 * t1) + (h2 * t2 + h3 * t3)) + pole * loss;
    t3 = t2;
    t2 = t1;
    t1 = t0;
    const float y1 = c * (loss - a1) + a0;
    const float y2 = c * (y1 - a2) + a1;
    const float y3 = c * (y2 - a3) + a2;
    const float y4 = c * (y3 - a4) + a3;
    a0 = loss;
    a1 = y1;
    a2 = y2;
    a3 = y3;
    a4 = y4;
    const float v = y4 * hold + excitation[i];
    line_[at++ & k_mask] = v;
    const float b0 = line_[behind++ & k_mask];
    out[i] += level * (v - (near * b0 + far * b1));
    b1 = b0;
  }
  loss_ = loss;
  chain_[0] = a0;
  chain_[1] = a1;
  chain_[2] = a2;
  chain_[3] = a3;
  chain_[4] = a4;
  place_ = at;
}

void StringLoop::settle() {
  for (float& x : line_) x = 0.0F;
  for (float& x : chain_) x = 0.0F;
  loss_ = 0.0F;
  if (ramp_left_ > 0) ramp_to(design_, hold_end_, 0);
}

float StringLoop::peak(int frames) const {
  float most = 0.0F;
  for (int i = 1; i <= frames; i += 4) {
    const float v = line_[(place_ - static_cast<uint32_t>(i)) & k_mask];
    most = max_of(most, v < 0.0F ? -v : v);
  }
  return most;
}

double StringLoop::heard() const {
  const int turn = clamp_to(design_.delay + 4, 8, k_size - 1 - pickup_delay_);
  double sum = 0;
  double squares = 0;
  for (int i = 1; i <= turn; ++i) {
    const uint32_t at = place_ - static_cast<uint32_t>(i);
    const auto near = static_cast<double>(pickup_near_ + pickup_far_);
    const auto v = static_cast<double>(line_[at & k_mask]) -
                   near * static_cast<double>(line_[(at - static_cast<uint32_t>(pickup_delay_)) & k_mask]);
    sum += v;
    squares += v * v;
  }
  const double mean = sum / turn;
  return sqrt_of(squares / turn - mean * mean);
}

double StringLoop::heard_of(double width) const {
  const double turn = design_.length;
  if (pickup_delay_ == 0) {
    const double part = clamp_to(width / turn, 0.02, 0.5);
    return sqrt_of(part * (1.0 - part));
  }
  // The difference of a rectangle and its echo is two shorter ones.
  return sqrt_of(clamp_to(2.0 * min_of(width, static_cast<double>(pickup_delay_)) / turn, 0.02, 1.0));
}

}  // namespace fretloom::voice
