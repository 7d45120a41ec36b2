#include "sound/kernel/plucked_string.h"

#include "sound/kernel/math.h"

namespace fretloom::voice {
namespace {

constexpr float k_silence = 1e-7F;         ///< -140 dB of a full stroke
constexpr double k_plain_position = 0.13;  ///< of a plain stroke
constexpr double k_sway_hz = 5.3;          ///< common practice, no source
constexpr int k_sway_grows = k_rate / 2;

/// Where necks move most (Fleischer and Zwicker 1998 show one or two such places between 150 and 500 Hz).
struct NeckMode {
  double hz, width, weight;
};
constexpr NeckMode k_neck[] = {{188.0, 22.0, 0.7}, {417.0, 38.0, 1.0}};

/// A step from 0 to 1 within one sample.
inline float step_at(float t) { return clamp_to(t, 0.0F, 1.0F); }

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
  const double hz = clamp_to(make.open_hz, 25.0, 1000.0);
  const double away = make.pickup <= 0.0 ? 0.0 : clamp_to(make.pickup, 0.02, 0.45) * k_rate / hz;
  next_pulse_ = 0;
  for (Pulse& pulse : pulses_) pulse = Pulse{};
  scrape_ = Scrape{};
  sway_at_ = -1;
  for (int p = 0; p < k_planes; ++p) {
    plane_[p].prepare(away);
    straight_[p] = design_of(p, 0, 0.0);
    plane_[p].ramp_to(straight_[p], 1.0F, 0);
  }
  settle();
}

double PluckedString::asked_hz(int fret) const { return make_.open_hz * exp2_of(fret / 12.0); }

double PluckedString::asked_stiffness(int fret) const { return make_.stiffness * exp2_of(fret / 6.0); }

double PluckedString::own(int fret, uint32_t which) const {
  const auto string = static_cast<uint32_t>(make_.open_hz * 100.0);
  return static_cast<double>(noise_at(string * 31U + which, static_cast<uint32_t>(fret)));
}

// Shorter strings ring shorter (6 s at E2, 4 s at E4: an exponent of -0.2925 of the frequency), a stopped
// string shorter than an open one; a palm takes the decay to 0.25 s and below.
double PluckedString::asked_t60(int fret, double mute) const {
  double open = make_.open_t60 * exp2_of(-0.2925 * fret / 12.0) * (fret > 0 ? 0.85 : 1.0);
  if (make_.dead_spots > 0.0 && fret > 0) {
    double taken = 0.0;
    for (const NeckMode& mode : k_neck) {
      const double off = (asked_hz(fret) - mode.hz) / mode.width;
      taken += mode.weight / (1.0 + off * off);
    }
    // The rest is wood and metal: no two frets are alike.
    open *= exp2_of(0.22 * make_.dead_spots * own(fret, 1)) / (1.0 + 1.2 * make_.dead_spots * taken);
  }
  return mute <= 0.0 ? open : open * pow_of(0.25 / make_.open_t60, mute);
}

/// How much of what is heard lies in a plane.
double PluckedString::share(int plane) const {
  const double second = make_.second / (1.0 + make_.second);
  return plane == 0 ? 1.0 - second : second;
}

// The planes stand on either side of the pitch, so that together they are in tune.
LoopDesign PluckedString::design_of(int plane, int fret, double mute) const {
  const double detune = make_.detune_cents * (1.0 + 0.6 * own(fret, 2)) * (own(fret, 3) < 0.0 ? -1.0 : 1.0);
  const double cents = plane == 0 ? -detune * share(1) : detune * share(0);
  const double sustain = plane == 0 ? 1.0 : 1.0 + (make_.second_sustain - 1.0) * (1.0 - mute);
  const double high = make_.high_t60 * pow_of(0.03 / make_.high_t60, mute);
  return design_loop({asked_hz(fret) * exp2_of(cents / 1200.0), asked_t60(fret, mute) * sustain, high * sustain,
                      asked_stiffness(fret)});
}

void PluckedString::strike(const Strike& strike) {
  Pulse& pulse = pulses_[next_pulse_];
  next_pulse_ = (next_pulse_ + 1) % 3;
  pulse.at = 0;
  pulse.width = static_cast<float>(clamp_to(strike.position, 0.02, 0.48) * k_rate / make_.open_hz);
  const double edge = clamp_to(static_cast<double>(strike.edge), 4.0, 400.0);
  pulse.slip = static_cast<float>(1.0 - exp2_of(-5.77 / edge));  // two poles of a quarter of the edge each
  pulse.once = pulse.twice = 0;
  pulse.level = (strike.upward ? -strike.level : strike.level);
  pulse.across = strike.across;
  pulse.bite = clamp_to(strike.bite, 0.0F, 2.0F);
  pulse.noise = strike.noise * pulse.level * make_.roughness;  // turned with the pulse, or they would meet otherwise
  pulse.noise_length = clamp_to(strike.noise_length, 0, 2000);
  pulse.seed = strike.seed;
  pulse.period = static_cast<float>(k_rate / asked_hz(fret_));
  pulse.turns = clamp_to(1 + static_cast<int>(strike.rise * asked_hz(fret_) + 0.5), 1, 8);
  pulse.length = static_cast<int>(pulse.width) + 2 + max_of(static_cast<int>(4.0 * edge), pulse.noise_length) +
                 static_cast<int>(pulse.period * static_cast<float>(pulse.turns - 1)) + 1;
  idle_ = false;
  quiet_ = 0;
}

void PluckedString::lift_to(Strike strike, double part) {
  const double open = k_rate / make_.open_hz;
  const double wanted = part * static_cast<double>(strike.level) * plane_[0].heard_of(k_plain_position * open);
  const double rings = plane_[0].heard();
  const double missing = sqrt_of(max_of(wanted * wanted - rings * rings, 0.04 * wanted * wanted));
  strike.level = static_cast<float>(missing / plane_[0].heard_of(strike.position * open));
  this->strike(strike);
}

void PluckedString::finger(int fret, double mute, int frames) {
  fret_ = fret;
  mute_ = clamp_to(mute, 0.0, 1.0);
  sway_at_ = -1;
  for (int p = 0; p < k_planes; ++p) {
    straight_[p] = design_of(p, fret, mute_);
    plane_[p].ramp_to(straight_[p], 1.0F, idle_ ? 0 : frames);
  }
}

void PluckedString::damp(double t60, int frames) {
  if (idle_) return;
  sway_at_ = -1;
  for (int p = 0; p < k_planes; ++p) {
    const double per_period = exp10_of(-3.0 / (asked_hz(fret_) * clamp_to(t60, 0.005, 30.0)));
    plane_[p].ramp_to(straight_[p], static_cast<float>(min_of(1.0, per_period / straight_[p].period_gain)), frames);
  }
}

void PluckedString::sway(double cents) {
  if (idle_ || cents <= 0.0) return;
  sway_cents_ = cents;
  sway_at_ = 0;
}

/// One step of the bend: the length in which this block ends.
void PluckedString::bend(int frames) {
  sway_at_ += frames;
  const double grown = min_of(1.0, static_cast<double>(sway_at_) / k_sway_grows);
  const double turn = 2.0 * k_pi * k_sway_hz * sway_at_ / k_rate;
  const double cents = sway_cents_ * grown * 0.5 * (1.0 - cos_of(turn));
  for (int p = 0; p < k_planes; ++p)
    plane_[p].ramp_to(bent(straight_[p], asked_hz(fret_), cents), plane_[p].hold(), frames);
}

void PluckedString::scrape(double hz, float level, int frames, uint32_t seed) {
  scrape_ = Scrape{};
  scrape_.length = clamp_to(frames, 0, k_rate);
  scrape_.hz = clamp_to(hz, 300.0, 6000.0);
  scrape_.level = level * make_.roughness * (make_.wound ? 1.0F : 0.4F);
  scrape_.seed = seed;
}

// The velocity wave of an ideal pluck is a rectangle as wide as the pick's distance from the bridge: a step up, and its
// reflection down (the comb 1 - z^-bN). The noise passes the same comb. A pick that holds on lets go in steps, a turn
// of the string apart, when the wave comes back to it: the sound swells over these turns and keeps its colour.
void PluckedString::add_pulse(Pulse& pulse, float* first, float* second, int frames) {
  const int lag = static_cast<int>(pulse.width + 0.5F);
  const float fall = pulse.noise_length > 0 ? 1.0F / static_cast<float>(pulse.noise_length) : 0.0F;
  const auto burst = [&](int t) {
    if (t < 0 || t >= pulse.noise_length) return 0.0F;
    const float left = 1.0F - static_cast<float>(t) * fall;
    const auto index = static_cast<uint32_t>(t);
    return left * left * 0.5F * (noise_at(pulse.seed, index) + noise_at(pulse.seed, index + 1));
  };
  const float part = 1.0F / static_cast<float>(pulse.turns);
  for (int i = 0; i < frames && pulse.at < pulse.length; ++i, ++pulse.at) {
    float t = static_cast<float>(pulse.at + 1);
    float sum = 0;
    for (int turn = 0; turn < pulse.turns && t > 0.0F; ++turn, t -= pulse.period)
      sum += step_at(t) - step_at(t - pulse.width);
    // The string slips off: two poles round the edges, and no frequency is missing as it would under a window.
    pulse.once += pulse.slip * (part * sum - pulse.once);
    pulse.twice += pulse.slip * (pulse.once - pulse.twice);
    const float x = pulse.level * (pulse.twice + pulse.bite * (pulse.once - pulse.twice)) +
                    pulse.noise * (burst(pulse.at) - burst(pulse.at - lag));
    first[i] += x;
    second[i] += pulse.across * x;
  }
  if (pulse.at >= pulse.length) pulse.length = 0;
}

// A state-variable filter (Chamberlin 1985) whose corner rises and falls with the finger's speed.
void PluckedString::add_scrape(Scrape& scrape, float* out, int frames) {
  const float middle = static_cast<float>(scrape.at) / static_cast<float>(scrape.length);
  const float speed = 0.35F + 0.65F * hump(middle);
  const auto corner = static_cast<float>(2.0 * sin_of(k_pi * scrape.hz * static_cast<double>(speed) / k_rate));
  for (int i = 0; i < frames && scrape.at < scrape.length; ++i, ++scrape.at) {
    const float place = static_cast<float>(scrape.at) / static_cast<float>(scrape.length);
    scrape.low += corner * scrape.band;
    const float high = noise_at(scrape.seed, static_cast<uint32_t>(scrape.at)) - scrape.low - 0.35F * scrape.band;
    scrape.band += corner * high;
    out[i] += scrape.level * hump(place) * scrape.band;
  }
  if (scrape.at >= scrape.length) scrape.length = 0;
}

// After one whole turn below hearing the string is still.
void PluckedString::settle() {
  for (StringLoop& plane : plane_) plane.settle();
  quiet_ = 0;
  idle_ = true;
}

void PluckedString::render(float* out, int frames) {
  if (scrape_.length > 0) add_scrape(scrape_, out, frames);
  if (idle_) return;
  float first[k_most] = {};
  float second[k_most] = {};
  bool driven = false;
  for (Pulse& pulse : pulses_) {
    if (pulse.length == 0) continue;
    driven = true;
    add_pulse(pulse, first, second, frames);
  }
  if (sway_at_ >= 0) bend(frames);
  float peak = 0;
  plane_[0].run(first, make_.level, out, frames);
  peak = plane_[0].peak(frames);
  if (make_.second > 0.0) {
    // Of a stroke that goes into both planes alike the second is heard by `second`; the strike's angle varies that.
    plane_[1].run(second, make_.level * static_cast<float>(make_.second), out, frames);
    peak = max_of(peak, plane_[1].peak(frames));
  }
  quiet_ = driven || peak > k_silence ? 0 : quiet_ + frames;
  if (quiet_ > StringLoop::k_size) settle();
}

}  // namespace fretloom::voice
