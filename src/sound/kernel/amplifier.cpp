#include "sound/kernel/amplifier.h"

namespace fretloom::voice {
namespace {

constexpr int k_over = 4;
constexpr double k_high_rate = k_over * static_cast<double>(k_rate);

// Values chosen by measurement, not by ear: see docs/sound.md. Sustain and the share of the second plane against
// sampled guitars; the tone so that every two voicings stand 3 dB apart in some third.
constexpr Voicing k_table[k_all_voicings] = {
    // name  sust high 2nd  place hz     q    gain  2nd  st bias sag  low   body      bite       box out   hiss room
    {"plain", 1.8, 2.0, 0.2, .17,  4500, 1.2,       0.0,  0.0, 0,   .00,
     .0,      30., 400, 0.0, 2500, 0.0,  Box::none, -2.0, -96, 0.10},
    {"bright", 2.2, 3.2,  0.2,  .11, 5200,           1.9, -1.0, 0.0, 1, .14, .15,
     70.,      320, -3.0, 3100, 4.5, Box::open_back, 1.0, -80,  0.22},
    {"dark",           2.0, 1.4, 0.2, .25, 2300, 0.9, 1.0, 0.0, 1, .16, .2, 55., 230, 3.0, 1700, -2.0,
     Box::closed_back, 0.0, -82, 0.25},
    {"gritty", 2.0, 2.6, 0.2,  .10, 3600,           1.8,  14., 2.0, 2, .24, .4,
     110.,     500, 1.0, 2600, 2.0, Box::open_back, -3.0, -74, 0.16},
    {"singing",        2.3,  2.6, 0.16, .12, 2900, 1.4, 25., 8.0, 2, .18, .5, 150., 700, 4.0, 1900, 2.0,
     Box::closed_back, -6.0, -70, 0.24},
    {"woody", 1.35, 1.0, 0.2, .0, 9000, 0.6, 0.0, 0.0, 0, .00, .0, 60., 200, 0.0, 3800, 5.0, Box::body, 2.0, -90, 0.18},
    {"deep", 1.7, 1.2, 0.2, .16, 2800, 0.9, 0.0, 0.0, 1, .12, .25, 25., 105, 3.0, 900, 1.5, Box::bass_cabinet,
     1.0,    -84, 0.08},
    {"rhythm guitar", 1.4, 2.4, 0.2, .13, 4600, 1.0, 0.0, 0.0, 0, .00, .0, 140., 310, -4.0, 2400, -2.0,
     Box::none,       0.0, -96, 0.20},
    {"finger bass", 1.3, 1.2, 0.2, .18, 1900,      0.8, 0.0, 0.0, 0, .00, .0,
     36.,           85,  2.0, 750, 2.5, Box::none, 0.0, -96, 0.05},
};

struct Bell {
  double hz, q, db;
};
// Loudspeakers break up into many narrow modes above 1.5 kHz and fall steeply from 5 kHz; an open back cancels lows, a
// closed one has a hump where box and cone resonate (common practice; Small, JAES 1972, for the box).
constexpr Bell k_open_back[] = {{112, 1.6, 2.5},   {210, 1.2, -2.0},  {430, 1.0, -3.0}, {820, 2.0, 1.5},
                                {1260, 3.0, -2.0}, {1730, 3.5, 2.5},  {2350, 4.0, 4.0}, {2840, 6.0, -4.5},
                                {3420, 5.0, 4.5},  {4300, 6.0, -3.5}, {5200, 5.0, 2.5}};
constexpr Bell k_closed_back[] = {{96, 1.8, 4.5},    {165, 1.4, 2.0},  {390, 1.1, -2.5}, {640, 2.2, 1.5},
                                  {1050, 2.5, -1.5}, {1480, 3.0, 2.0}, {2050, 4.0, 3.0}, {2600, 6.0, -4.0},
                                  {3100, 5.0, 2.5},  {3900, 6.0, -5.0}};
constexpr Bell k_bass_cabinet[] = {{52, 1.6, 3.0},  {88, 1.2, 2.0},    {240, 1.0, -2.5},
                                   {700, 2.0, 1.5}, {1500, 3.0, -2.0}, {2400, 4.0, 2.5}};

/// Corners of the roll-offs: low, then high, which is passed four poles over.
struct Edge {
  double low_hz, low_q, high_hz;
};
constexpr Edge k_edges[] = {{}, {82, 1.1, 5600}, {72, 1.2, 4500}, {38, 1.0, 3600}, {70, 0.8, 11000}};

struct BodyMode {
  double hz, q, gain;
};
// Air and top plate of a steel-string guitar: A0 near 100 Hz, T1 near 190, then pairs closer and closer (Fletcher and
// Rossing, chapter 9; Q of 15 to 45). Signs alternate as the plate's fields do.
constexpr BodyMode k_body[] = {{101, 14, 0.85},  {189, 20, 1.00}, {226, 24, -0.55},  {287, 27, 0.50},
                               {364, 30, -0.45}, {428, 32, 0.42}, {521, 33, -0.38},  {648, 36, 0.36},
                               {786, 38, -0.33}, {972, 40, 0.30}, {1240, 42, -0.27}, {1585, 44, 0.24},
                               {2030, 45, -0.22}};

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

// Seconds in which what is followed rises and falls: the bias at the grid, the supply's capacitor.
constexpr double k_bias_seconds = 0.03;
constexpr double k_supply_up = 0.008, k_supply_down = 0.15;
constexpr double k_most_shift = 0.12;

}  // namespace

const Voicing& voicing(int index) { return k_table[index]; }

void Clipper::prepare(double bias) {
  bias_ = bias;
  rest_ = curve(bias);
  last_ = bias;
  last_area_ = area(bias);
}

double Clipper::run(double x, double shift) {
  const double now = x + bias_ + shift;
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
  loud_ = supply_ = 0;
  pickup_ = make_section(Shape::low_pass, v.pickup_hz, v.pickup_q, 0, k_rate);
  low_cut_ = make_section(Shape::high_pass, v.low_cut_hz, 0.7, 0, k_rate);
  between_ = make_section(Shape::low_pass, 7000.0, 0.6, 0, k_high_rate);
  block_ = make_section(Shape::high_pass, 25.0, 0.7, 0, k_rate);
  body_ = make_section(Shape::bell, v.body_hz, 0.8, v.body_db, k_rate);
  bite_ = make_section(Shape::bell, v.bite_hz, 1.0, v.bite_db, k_rate);
  prepare_box(v.box);
  first_.prepare(v.bias);
  last_.prepare(v.bias * 0.5);
  up2_.prepare(0.04);
  down2_.prepare(0.04);
  up4_.prepare(0.26);
  down4_.prepare(0.26);
}

void Amplifier::prepare_box(Box box) {
  bells_ = modes_ = 0;
  if (box == Box::none) return;
  const auto add = [&](const Section& section) { bell_[bells_++] = section; };
  const Edge& edge = k_edges[static_cast<int>(box)];
  add(make_section(Shape::high_pass, edge.low_hz, edge.low_q, 0, k_rate));
  const auto add_all = [&](const auto& bells) {
    for (const Bell& bell : bells) add(make_section(Shape::bell, bell.hz, bell.q, bell.db, k_rate));
  };
  if (box == Box::open_back) add_all(k_open_back);
  if (box == Box::closed_back) add_all(k_closed_back);
  if (box == Box::bass_cabinet) add_all(k_bass_cabinet);
  add(make_section(Shape::low_pass, edge.high_hz, 1.3, 0, k_rate));
  add(make_section(Shape::low_pass, edge.high_hz * 1.15, 0.6, 0, k_rate));
  if (box != Box::body) return;
  for (const BodyMode& m : k_body) {
    const double w = 2.0 * k_pi * m.hz / k_rate;
    const double r = 1.0 - w / (2.0 * m.q);
    // (1 - z^-2) gives every mode its zeros at 0 and the half rate: gain 1 at the peak times `gain`.
    mode_[modes_++] = {2.0 * r * cos_of(w), -r * r, m.gain * (1.0 - r), 0, 0};
  }
}

double Amplifier::through_box(double x) {
  double y = x;
  if (modes_ > 0) {
    y = 1.1 * x;  // the plate as a whole
    for (int m = 0; m < modes_; ++m) {
      Mode& mode = mode_[m];
      const double now = mode.a1 * mode.y1 + mode.a2 * mode.y2 + mode.gain * x;
      y += now - mode.y2;
      mode.y2 = mode.y1;
      mode.y1 = now;
    }
  }
  for (int i = 0; i < bells_; ++i) y = bell_[i].run(y);
  return y;
}

double Amplifier::drive(double x) {
  const int stages = voicing_->stages;
  if (stages == 0) return x;
  // A grid that is driven positive charges its capacitor and moves the bias, the power stage draws the supply down:
  // both follow the sound, slowly against it, so that they make no aliases (Pakarinen and Yeh 2009).
  const double size = min_of(abs_of(x) * gain_, 4.0);
  loud_ += (size - loud_) * (1.0 / (k_bias_seconds * k_rate));
  supply_ += (size - supply_) * (1.0 / ((size > supply_ ? k_supply_up : k_supply_down) * k_rate));
  const double shift = -min_of(0.1 * loud_, k_most_shift) * (voicing_->bias > 0.0 ? 1.0 : 0.0);
  const double room = 1.0 / (1.0 + voicing_->sag * 0.3 * supply_);
  double two[2];
  double four[4];
  up2_.up(x * gain_ * room, two);
  for (int i = 0; i < 2; ++i) up4_.up(two[i], four + 2 * i);
  for (double& y : four) {
    y = first_.run(y, shift);
    if (stages == 2) y = last_.run(between_.run(y) * second_, 0.5 * shift);
  }
  for (int i = 0; i < 2; ++i) two[i] = down4_.down(four + 2 * i);
  return down2_.down(two);
}

void Amplifier::run(float* frames, int count) {
  for (int i = 0; i < count; ++i) {
    double y = low_cut_.run(pickup_.run(static_cast<double>(frames[i])));
    y = bite_.run(body_.run(block_.run(drive(y))));
    frames[i] = static_cast<float>(through_box(y) * out_);
  }
  Section* const sections[] = {&pickup_, &low_cut_, &between_, &block_, &body_, &bite_};
  for (Section* section : sections) section->flush();
  for (int i = 0; i < bells_; ++i) bell_[i].flush();
  for (int m = 0; m < modes_; ++m) {
    if (abs_of(mode_[m].y1) < 1e-18) mode_[m].y1 = 0;
    if (abs_of(mode_[m].y2) < 1e-18) mode_[m].y2 = 0;
  }
  if (loud_ < 1e-18) loud_ = 0;
  if (supply_ < 1e-18) supply_ = 0;
  up2_.flush();
  down2_.flush();
  up4_.flush();
  down4_.flush();
}

}  // namespace fretloom::voice
