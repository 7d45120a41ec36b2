#include "sound/kernel/plucked_string.h"

#include "sound/kernel/math.h"

namespace fretloom::voice {
namespace {

constexpr uint32_t k_mask = PluckedString::k_size - 1;
constexpr float k_silence = 1e-7F;  ///< -140 dB of a full stroke

/// 0 before 0, 1 after 1, smooth between.
inline float soft_step(float x) {
  if (x <= 0.0F) return 0.0F;
  if (x >= 1.0F) return 1.0F;
  return x * x * (3.0F - 2.0F * x);
}

/// 0 outside 0 to 1, a smooth hump of height 1 within.
inline float hump(float x) {
  if (x <= 0.0F || x >= 1.0F) return 0.0F;
  const float y = x * (1.0F - x);
  return 16.0F * y * y;
}

}  // namespace

void PluckedString::prepare(const StringMake& make) {
  make_ = make;
  fret_ = 0;
  mute_ = 0.0;
  const double away = clamp_to(make.pickup, 0.02, 0.45) * k_rate / clamp_to(make.open_hz, 25.0, 1000.0);
  pickup_delay_ = static_cast<int>(away);
  pickup_far_ = static_cast<float>(away - pickup_delay_);
  pickup_near_ = 1.0F - pickup_far_;
  ramp_left_ = 0;
  hold_ = hold_end_ = 1.0F;
  place_ = 0;
  next_pulse_ = 0;
  for (Pulse& pulse : pulses_) pulse = Pulse{};
  settle();
  ramp_to(design_loop({asked_hz(0), asked_t60(0, 0.0), make_.high_t60, asked_stiffness(0)}), 1.0F, 0);
}

double PluckedString::asked_hz(int fret) const { return make_.open_hz * exp2_of(fret / 12.0); }

double PluckedString::asked_stiffness(int fret) const { return make_.stiffness * exp2_of(fret / 6.0); }

// Shorter strings ring shorter (6 s at E2, 4 s at E4: an exponent of -0.2925 of the frequency), a stopped
// string shorter than an open one; a palm takes the decay to 0.25 s and below.
double PluckedString::asked_t60(int fret, double mute) const {
  const double open = make_.open_t60 * exp2_of(-0.2925 * fret / 12.0) * (fret > 0 ? 0.85 : 1.0);
  return mute <= 0.0 ? open : open * pow_of(0.25 / make_.open_t60, mute);
}

void PluckedString::strike(const Strike& strike) {
  Pulse& pulse = pulses_[next_pulse_];
  next_pulse_ ^= 1;
  pulse.at = 0;
  pulse.width = static_cast<float>(clamp_to(strike.position, 0.02, 0.48) * k_rate / make_.open_hz);
  pulse.edge = clamp_to(strike.edge, 4.0F, 400.0F);
  pulse.level = (strike.upward ? -strike.level : strike.level);
  pulse.bite = clamp_to(strike.bite, 0.0F, 4.0F);
  pulse.noise = strike.noise * strike.level * make_.roughness;
  pulse.noise_length = clamp_to(strike.noise_length, 0, 2000);
  pulse.seed = strike.seed;
  pulse.length = static_cast<int>(pulse.width) + 2 + max_of(static_cast<int>(pulse.edge), pulse.noise_length);
  idle_ = false;
  quiet_ = 0;
}

void PluckedString::finger(int fret, double mute, int frames) {
  fret_ = fret;
  mute_ = clamp_to(mute, 0.0, 1.0);
  const double high = make_.high_t60 * pow_of(0.03 / make_.high_t60, mute_);
  ramp_to(design_loop({asked_hz(fret), asked_t60(fret, mute_), high, asked_stiffness(fret)}), 1.0F, frames);
}

void PluckedString::damp(double t60, int frames) {
  if (idle_) return;
  const double per_period = exp10_of(-3.0 / (asked_hz(fret_) * clamp_to(t60, 0.005, 30.0)));
  ramp_to(design_, static_cast<float>(min_of(1.0, per_period / design_.period_gain)), frames);
}

// A ramp that interrupts another starts from where the coefficients are; only the fade of lengths starts
// afresh, from the length that had the greater weight.
void PluckedString::ramp_to(const LoopDesign& design, float hold, int frames) {
  if (ramp_left_ == 0 || fade_ >= 0.5F) before_ = design_;
  design_ = design;
  hold_end_ = hold;
  ramp_left_ = idle_ ? 0 : max_of(frames, 0);
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

// The velocity wave of an ideal pluck is a rectangle as wide as the pick's distance from the bridge:
// a step up, and its reflection down (the comb 1 - z^-bN). The noise passes the same comb.
void PluckedString::add_pulse(Pulse& pulse, float* excitation, int frames) {
  const int lag = static_cast<int>(pulse.width + 0.5F);
  const float slope = 1.0F / pulse.edge;
  const float fall = pulse.noise_length > 0 ? 1.0F / static_cast<float>(pulse.noise_length) : 0.0F;
  const auto burst = [&](int t) {
    if (t < 0 || t >= pulse.noise_length) return 0.0F;
    const float left = 1.0F - static_cast<float>(t) * fall;
    const auto index = static_cast<uint32_t>(t);
    return left * left * 0.5F * (noise_at(pulse.seed, index) + noise_at(pulse.seed, index + 1));
  };
  const auto release = [&](float x) { return soft_step(x) + pulse.bite * hump(x); };
  for (int i = 0; i < frames && pulse.at < pulse.length; ++i, ++pulse.at) {
    const auto t = static_cast<float>(pulse.at + 1);
    excitation[i] += pulse.level * (release(t * slope) - release((t - pulse.width) * slope)) +
                     pulse.noise * (burst(pulse.at) - burst(pulse.at - lag));
  }
  if (pulse.at >= pulse.length) pulse.length = 0;
}

void PluckedString::run_moving(const float* excitation, float* out, int frames) {
  const float level = make_.level;
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

void PluckedString::run_steady(const float* excitation, float* out, int frames) {
  static_assert(k_allpasses == 4);
  const float gain = gain_, pole = pole_, c = stretch_, hold = hold_, level = make_.level;
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

// After one whole turn below hearing the string is still: nothing lingers as denormal numbers.
void PluckedString::settle() {
  for (float& x : line_) x = 0.0F;
  for (float& x : chain_) x = 0.0F;
  loss_ = 0.0F;
  quiet_ = 0;
  idle_ = true;
}

void PluckedString::render(float* out, int frames) {
  if (idle_) return;
  float excitation[k_most] = {};
  bool driven = false;
  for (Pulse& pulse : pulses_) {
    if (pulse.length == 0) continue;
    driven = true;
    add_pulse(pulse, excitation, frames);
  }
  const int moving = min_of(frames, ramp_left_);
  if (moving > 0) run_moving(excitation, out, moving);
  if (frames > moving) run_steady(excitation + moving, out + moving, frames - moving);

  float peak = 0.0F;
  for (int i = 1; i <= frames; i += 4) {
    const float v = line_[(place_ - static_cast<uint32_t>(i)) & k_mask];
    peak = max_of(peak, v < 0.0F ? -v : v);
  }
  quiet_ = driven || peak > k_silence ? 0 : quiet_ + frames;
  if (quiet_ > k_size) {
    settle();
    if (ramp_left_ > 0) ramp_to(design_, hold_end_, 0);
  }
}

}  // namespace fretloom::voice
