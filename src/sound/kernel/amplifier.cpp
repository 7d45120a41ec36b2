#include "sound/kernel/amplifier.h"

namespace fretloom::voice {
namespace {

constexpr int k_over = 4;
constexpr double k_high_rate = k_over * static_cast<double>(k_rate);

// Values chosen by ear-free reasoning and measurement: a guitar loudspeaker passes about 80 Hz to 5 kHz with
// a rise near 2.5 kHz, a bass cabinet reaches lower (common practice, no source).
constexpr Voicing k_table[k_voicings] = {
    //        place hz    q    gain  2nd   st bias low   body       bite        speaker low  high  out  room
    {"direct", .17, 4500, 1.2, 0.0, 0.0, 0, 0.00, 30., 400, 0.0, 2500, 0.0, false, 80., 9000, -2.0, 0.10},
    {"clean", .17, 3600, 1.6, -3.0, 0.0, 1, 0.08, 60., 350, -2.0, 2600, 3.0, true, 75., 5600, 3.0, 0.22},
    {"warm", .24, 2600, 1.1, 0.0, 0.0, 1, 0.12, 60., 250, 2.0, 1800, -1.0, true, 75., 4200, 1.0, 0.25},
    {"crunch", .10, 3600, 1.8, 14., 2.0, 2, 0.18, 110., 500, 1.0, 2600, 2.0, true, 85., 5000, -2.0, 0.16},
    {"lead", .09, 3400, 1.8, 26., 8.0, 2, 0.15, 140., 650, 3.0, 2200, 2.0, true, 85., 4800, -4.0, 0.24},
    {"bass", .16, 3000, 1.0, -2.0, 0.0, 1, 0.06, 25., 110, 2.0, 900, 1.5, true, 35., 3600, 2.0, 0.08},
};

double curve(double x) {
  if (x >= 1.0) return 1.0;
  if (x <= -1.0) return -1.0;
  return 1.5 * (x - x * x * x / 3.0);
}

/// Antiderivative of `curve`.
double area(double x) {
  const double x2 = x * x;
  if (x2 >= 1.0) return abs_of(x) - 0.375;
  return 1.5 * (0.5 * x2 - x2 * x2 / 12.0);
}

}  // namespace

const Voicing& voicing(int index) { return k_table[index]; }

void Clipper::prepare(double bias) {
  bias_ = bias;
  rest_ = curve(bias);
  last_ = bias;
  last_area_ = area(bias);
}

double Clipper::run(double x) {
  const double now = x + bias_;
  const double now_area = area(now);
  const double step = now - last_;
  const double y = abs_of(step) > 1e-6 ? (now_area - last_area_) / step : curve(0.5 * (now + last_));
  last_ = now;
  last_area_ = now_area;
  return y - rest_;
}

void Amplifier::prepare(const Voicing& v) {
  voicing_ = &v;
  gain_ = from_decibels(v.gain_db);
  second_ = from_decibels(v.second_db);
  out_ = from_decibels(v.out_db);
  pickup_ = make_section(Shape::low_pass, v.pickup_hz, v.pickup_q, 0, k_rate);
  low_cut_ = make_section(Shape::high_pass, v.low_cut_hz, 0.7, 0, k_rate);
  between_ = make_section(Shape::low_pass, 7000.0, 0.6, 0, k_high_rate);
  block_ = make_section(Shape::high_pass, 25.0, 0.7, 0, k_rate);
  body_ = make_section(Shape::bell, v.body_hz, 0.8, v.body_db, k_rate);
  bite_ = make_section(Shape::bell, v.bite_hz, 1.0, v.bite_db, k_rate);
  cone_low_ = make_section(Shape::high_pass, v.speaker_low_hz, 1.1, 0, k_rate);
  cone_high_[0] = make_section(Shape::low_pass, v.speaker_high_hz, 1.3, 0, k_rate);
  cone_high_[1] = make_section(Shape::low_pass, v.speaker_high_hz * 1.15, 0.6, 0, k_rate);
  presence_ = make_section(Shape::bell, v.speaker_high_hz * 0.55, 1.4, 2.5, k_rate);
  dip_ = make_section(Shape::bell, v.speaker_high_hz * 0.14, 0.9, -2.0, k_rate);
  first_.prepare(v.bias);
  last_.prepare(v.bias * 0.5);
  up2_.prepare(0.04);
  down2_.prepare(0.04);
  up4_.prepare(0.26);
  down4_.prepare(0.26);
}

double Amplifier::drive(double x) {
  const int stages = voicing_->stages;
  if (stages == 0) return x;
  double two[2];
  double four[4];
  up2_.up(x * gain_, two);
  for (int i = 0; i < 2; ++i) up4_.up(two[i], four + 2 * i);
  for (double& y : four) {
    y = first_.run(y);
    if (stages == 2) y = last_.run(between_.run(y) * second_);
  }
  for (int i = 0; i < 2; ++i) two[i] = down4_.down(four + 2 * i);
  return down2_.down(two);
}

void Amplifier::run(float* frames, int count) {
  for (int i = 0; i < count; ++i) {
    double y = low_cut_.run(pickup_.run(static_cast<double>(frames[i])));
    y = bite_.run(body_.run(block_.run(drive(y))));
    if (voicing_->speaker) {
      y = cone_high_[1].run(cone_high_[0].run(cone_low_.run(y)));
      y = dip_.run(presence_.run(y));
    }
    frames[i] = static_cast<float>(y * out_);
  }
  Section* const sections[] = {&pickup_,   &low_cut_,      &between_,      &block_,    &body_, &bite_,
                               &cone_low_, &cone_high_[0], &cone_high_[1], &presence_, &dip_};
  for (Section* section : sections) section->flush();
  up2_.flush();
  down2_.flush();
  up4_.flush();
  down4_.flush();
}

}  // namespace fretloom::voice
