#include "sound/kernel/voice.h"

#include "sound/kernel/math.h"

namespace fretloom::voice {
namespace {

/// Inharmonicity by open pitch. B = pi^3 E d^4 / (64 T L^2) (Fletcher and Rossing) with E = 200 GPa and
/// usual wires (common practice): plain .254 .330 .432 mm for E4 B3 G3, then the cores of wound strings,
/// 0.36 to 0.5 mm, which is why B falls from G3 to D3 and rises again. Bass strings: heavier cores on a
/// longer scale.
struct Row {
  double hz;
  double value;
};
constexpr Row k_guitar_stiffness[] = {{46.25, 2.4e-4},  {61.74, 1.9e-4},  {82.41, 1.3e-4},
                                      {110.0, 8.0e-5},  {146.83, 5.0e-5}, {196.0, 9.0e-5},
                                      {246.94, 3.4e-5}, {329.63, 1.3e-5}, {700.0, 0.8e-5}};
constexpr Row k_bass_stiffness[] = {{30.87, 2.6e-4}, {41.2, 2.0e-4}, {55.0, 1.4e-4},
                                    {73.42, 1.0e-4}, {98.0, 7.0e-5}, {200.0, 4.0e-5}};

template <int N>
double look_up(const Row (&rows)[N], double hz) {
  if (hz <= rows[0].hz) return rows[0].value;
  for (int i = 1; i < N; ++i) {
    if (hz > rows[i].hz) continue;
    const double part = log2_of(hz / rows[i - 1].hz) / log2_of(rows[i].hz / rows[i - 1].hz);
    return rows[i - 1].value * pow_of(rows[i].value / rows[i - 1].value, part);
  }
  return rows[N - 1].value;
}

}  // namespace

StringMake usual_string(double open_hz, bool bass, double pickup_place) {
  StringMake make;
  make.open_hz = clamp_to(open_hz, 25.0, 1000.0);
  const bool wound = bass || make.open_hz < 180.0;
  // 6 s at E2, 4 s at E4 and so on at other pitches; a bass string rings longer.
  make.open_t60 = clamp_to((bass ? 7.5 : 6.0) * pow_of(make.open_hz / 82.407, -0.2925), 1.0, 12.0);
  make.high_t60 = bass ? 0.38 : wound ? 0.45 : 0.6;
  make.stiffness = bass ? look_up(k_bass_stiffness, make.open_hz) : look_up(k_guitar_stiffness, make.open_hz);
  make.pickup = pickup_place;
  make.level = static_cast<float>(clamp_to(0.34 * pow_of(make.open_hz / 196.0, -0.06), 0.28, 0.42));
  make.roughness = wound ? 0.075F : 0.04F;
  make.wound = wound;
  return make;
}

StringMake string_for(double open_hz, bool bass, const Voicing& v) {
  StringMake make = usual_string(open_hz, bass, v.pickup_place);
  const bool is_board = v.box == Box::body;  // a sounding board takes what a solid body leaves
  make.open_t60 *= v.sustain;
  make.high_t60 *= v.high_t60;
  make.second = v.second;
  make.second_sustain = 2.1;
  make.detune_cents = is_board ? 2.2 : 1.9;
  make.dead_spots = is_board ? 0.7 : 0.55;
  if (v.pickup_place <= 0.0) make.level *= 1.5F;
  return make;
}

void Voice::prepare(const double* open_hz, int strings, bool bass, int voicing_index, const Manner& manner) {
  const Voicing& v = voicing(voicing_index);
  count_ = clamp_to(strings, 1, k_strings);
  for (int s = 0; s < count_; ++s) strings_[s].prepare(string_for(open_hz[s], bass, v));
  manner_ = manner;
  amplifier_.prepare(v);
  room_.prepare(0.8);
  room_level_ = static_cast<float>(v.room * clamp_to(manner.room, 0.0, 2.0));
  tick_ = static_cast<float>(0.035 * min_of(1.0, from_decibels(-v.gain_db - v.second_db)));
  hiss_ = static_cast<float>(from_decibels(v.hiss_db) * clamp_to(manner.hiss, 0.0, 4.0));
  start(nullptr, 0);
}

void Voice::start(const Event* events, int count) {
  next_ = events;
  end_ = events + count;
  frame_ = 0;
}

// Louder is brighter: the string leaves a faster pick in less time. The upstroke plays a little nearer the bridge with
// less pick, harder and thinner (common practice). No two strokes are alike: a good player's plain strokes differ by
// about a decibel, and the pick never meets the string at the same place and angle twice (common practice, no source).
void Voice::pluck(PluckedString& s, const Event& e) const {
  const double up = e.upward != 0 ? clamp_to(manner_.stroke_colour, 0.0, 2.0) : 0.0;
  const double spread = clamp_to(manner_.variance, 0.0, 2.0);
  const auto vary = [&](uint32_t which) {  // -1 to 1, most often near 0
    return spread * 0.5 *
           static_cast<double>(noise_at(e.seed, 5000U + 2 * which) + noise_at(e.seed, 5001U + 2 * which));
  };
  Strike strike;
  strike.seed = e.seed;
  strike.upward = e.upward != 0;
  const auto level = static_cast<float>(static_cast<double>(e.level) * from_decibels(1.0 * vary(0)));
  const double harder = static_cast<double>(level) - 0.75;
  strike.level = level * static_cast<float>(1.0 - 0.04 * up);
  strike.position = 0.13 * (1.0 - 0.03 * up) * (1.0 + 0.06 * vary(1));
  strike.edge = static_cast<float>(8.0 * exp2_of(-0.20 * up - 0.8 * harder + 0.15 * vary(2)) * (1.0 + 1.5 * e.palm));
  strike.bite = static_cast<float>((1.0 + 0.14 * up + 0.8 * harder) * (1.0 - 0.7 * e.palm));
  strike.across = static_cast<float>(1.0 + 0.3 * vary(3));
  strike.rise = 0.002;
  strike.noise = static_cast<float>(3.9 + 0.3 * up + 0.25 * vary(4)) + 0.5F * level;
  s.finger(e.fret, e.palm, e.fade);
  s.strike(strike);
}

void Voice::act(const Event& e) {
  if (e.string < 0 || e.string >= count_) return;
  PluckedString& s = strings_[e.string];
  Strike strike;
  strike.seed = e.seed;
  strike.upward = e.upward != 0;
  strike.level = e.level;
  switch (e.deed) {
    case Deed::damp: s.damp(e.seconds, e.fade); return;
    case Deed::sway: s.sway(manner_.vibrato_cents); return;
    case Deed::scrape: {
      // `fade` is the fret it leaves. The finger's way along a string of 0.65 m, over windings 0.35 mm apart.
      const double way = 0.65 * abs_of(exp2_of(-e.fret / 12.0) - exp2_of(-e.fade / 12.0));
      const double hz = way / max_of(e.seconds, 0.005) / 0.00035;
      s.scrape(hz, static_cast<float>(4.0 * static_cast<double>(e.level)), static_cast<int>(e.seconds * k_rate),
               e.seed);
      return;
    }
    case Deed::touch:
      s.damp(e.seconds, e.fade);
      // The pick ticks on the string before it plucks: as loud for every stroke, however the amplifier is driven.
      strike.level = tick_;
      strike.noise = 6.0F;
      strike.noise_length = 90;
      strike.edge = 30.0F;
      strike.bite = 0;
      s.strike(strike);
      return;
    case Deed::pluck: pluck(s, e); return;
    case Deed::hammer:
      strike.position = 0.3;
      strike.edge = static_cast<float>(0.09 * k_rate / s.asked_hz(e.fret));
      strike.bite = 0.3F;
      strike.noise = 3.0F;
      strike.noise_length = 120;
      s.finger(e.fret, e.palm, e.fade);
      s.lift_to(strike, 1.1);
      return;
    case Deed::pull:
      strike.position = 0.35;
      strike.edge = static_cast<float>(0.07 * k_rate / s.asked_hz(e.fret));
      strike.bite = 0.3F;
      strike.noise = 1.5F;
      s.finger(e.fret, e.palm, e.fade);
      s.lift_to(strike, 1.25);
      return;
    case Deed::step:
    case Deed::arrive:
      strike.position = 0.4;
      strike.edge = 80.0F;
      strike.bite = 0;
      strike.level *= 0.08F;
      strike.noise = 9.0F;
      strike.noise_length = 300;
      s.finger(e.fret, e.palm, e.fade);
      s.strike(strike);
      return;
  }
}

void Voice::add_hiss(float* frames, int count) const {
  if (hiss_ <= 0.0F) return;
  const auto at = static_cast<uint32_t>(frame_);
  float last = noise_at(0x51C3U, at - 1U);
  for (int i = 0; i < count; ++i) {
    const float now = noise_at(0x51C3U, at + static_cast<uint32_t>(i));
    frames[i] += hiss_ * 0.5F * (now + last);
    last = now;
  }
}

void Voice::block(float* left, float* right, int frames) {
  float sum[PluckedString::k_most] = {};
  for (int s = 0; s < count_; ++s) strings_[s].render(sum, frames);
  amplifier_.run(sum, frames);
  add_hiss(sum, frames);
  for (int i = 0; i < frames; ++i) left[i] = right[i] = sum[i];
  if (room_level_ > 0) room_.run(sum, room_level_, left, right, frames);
}

void Voice::render(float* left, float* right, int frames) {
  int done = 0;
  while (done < frames) {
    while (next_ != end_ && next_->frame <= frame_) act(*next_++);
    // Blocks end on multiples of 64 and at events, so that the length of a call does not show.
    auto run = min_of<int64_t>(PluckedString::k_most - frame_ % PluckedString::k_most, frames - done);
    if (next_ != end_) run = min_of<int64_t>(run, next_->frame - frame_);
    block(left + done, right + done, static_cast<int>(run));
    done += static_cast<int>(run);
    frame_ += run;
  }
}

}  // namespace fretloom::voice
