#pragma once
// One string: two planes of vibration, a hand that fingers, bends and damps it, a pick that sets it going and a pickup
// that hears it.
//
// Sources. Two planes, seen by the pickup differently and dying at different rates, give the double decay and the slow
// beats of real strings (Weinreich 1977 for the piano; Fletcher and Rossing, The Physics of Musical Instruments, 9.4).
// Dead spots: where the neck moves easily the string gives it its energy (Fleischer and Zwicker, Acustica 84, 1998).
// Winding noise: a finger sliding at v over windings of pitch d sounds at v / d (Pakarinen, Penttinen and Bank 2007).

#include <stdint.h>

#include "sound/kernel/string_loop.h"

namespace fretloom::voice {

/// What makes one string differ from its neighbours. Distances are parts of the open string's length,
/// measured from the bridge.
struct StringMake {
  double open_hz = 110.0;   ///< 25 to 1000
  double open_t60 = 5.0;    ///< seconds, first partial of the open string, in the plane that is heard most
  double high_t60 = 0.4;    ///< seconds, at 5 kHz
  double stiffness = 1e-4;  ///< inharmonicity B of the open string; grows with the square of the shortening
  double pickup = 0.12;     ///< 0.02 to 0.45; 0: the force on the bridge is heard
  float level = 1.0F;
  float roughness = 0.03F;  ///< noise of pick and finger on the winding, part of a stroke's level
  bool wound = true;        ///< sliding fingers squeak
  // The second plane and the neck. All 0: one plane that decays evenly on every fret.
  double second = 0.0;          ///< level of the second plane as the pickup hears it, 0 to 1
  double second_sustain = 2.0;  ///< its decay time against the first plane's
  double detune_cents = 0.0;    ///< between the planes; every fret has its own, around this
  double dead_spots = 0.0;      ///< how much the neck takes where it moves most, 0 to 2
};

/// How the string is set going. `position` as above; `edge` is about the time in samples in which the string
/// slips off the pick: short is bright.
struct Strike {
  double position = 0.12;
  float edge = 14.0F;
  float bite = 0.6F;  ///< hardness of the release, 0 to 2: lifts what lies above ~2 kHz
  float level = 1.0F;
  float noise = 1.0F;      ///< times the string's roughness
  int noise_length = 200;  ///< samples
  bool upward = false;     ///< the string is released the other way
  float across = 0.6F;     ///< share of the stroke that goes into the second plane
  double rise = 0.0;       ///< seconds in which the pick lets go, turn by turn of the string: 0 = at once
  uint32_t seed = 0;
};

class PluckedString {
 public:
  static constexpr int k_most = 64;  ///< frames in one call of render

  void prepare(const StringMake& make);

  /// Sets the string going at the next frame, added to what still rings.
  void strike(const Strike& strike);
  /// The same, but only as hard as it takes to bring the string to what a plain stroke of `part` of the level gives:
  /// a hammer-on or pull-off is as loud as the finger makes it, whatever rang before.
  void lift_to(Strike strike, double part);
  /// Stops the string at `fret` (0 = open) with `mute` from 0 to 1 (palm on the bridge), sounding so
  /// after `frames` of cross-fade between the old and the new length.
  void finger(int fret, double mute, int frames);
  /// A finger or the pick lies on the string: in `frames` the first partial's decay falls to `t60`
  /// seconds. Fingering or striking anew lifts it, where `finger` is called first.
  void damp(double t60, int frames);
  /// The finger bends the string up to `cents` and back, 5.3 times a second, growing over half a second; until it
  /// fingers anew.
  void sway(double cents);
  /// A finger slides over the winding: noise for `frames`, at its highest around `hz`.
  void scrape(double hz, float level, int frames, uint32_t seed);

  /// Adds the next `frames` (1 to k_most) to `out`.
  void render(float* out, int frames);

  [[nodiscard]] bool is_idle() const { return idle_; }
  /// The asked decay of the first partial at a fret, seconds, in the first plane: what a test may hold the sound
  /// against.
  [[nodiscard]] double asked_t60(int fret, double mute) const;
  [[nodiscard]] double asked_hz(int fret) const;
  [[nodiscard]] double asked_stiffness(int fret) const;

 private:
  static constexpr int k_planes = 2;
  struct Pulse {
    int at = 0;
    int length = 0;  ///< 0 = spent
    float width = 0;
    float slip = 1;  ///< coefficient of the two poles that round the edges
    float once = 0, twice = 0;
    float level = 0;
    float across = 0;
    float bite = 0;
    float noise = 0;
    int noise_length = 0;
    int turns = 1;     ///< in which the pick lets go
    float period = 0;  ///< of a turn, samples
    uint32_t seed = 0;
  };
  /// Noise through a resonance that follows the finger's speed.
  struct Scrape {
    int at = 0;
    int length = 0;
    double hz = 3000;
    float level = 0;
    float low = 0, band = 0;
    uint32_t seed = 0;
  };

  /// A number from -1 to 1 that belongs to this string and fret for good.
  [[nodiscard]] double own(int fret, uint32_t which) const;
  [[nodiscard]] double share(int plane) const;
  [[nodiscard]] LoopDesign design_of(int plane, int fret, double mute) const;
  static void add_pulse(Pulse& pulse, float* first, float* second, int frames);
  static void add_scrape(Scrape& scrape, float* out, int frames);
  void bend(int frames);
  void settle();

  StringMake make_;
  int fret_ = 0;
  double mute_ = 0.0;
  StringLoop plane_[k_planes];
  LoopDesign straight_[k_planes];  ///< unbent
  Pulse pulses_[3];
  int next_pulse_ = 0;
  Scrape scrape_;
  double sway_cents_ = 0;
  int sway_at_ = -1;  ///< frames since it began; -1 = none
  int quiet_ = 0;
  bool idle_ = true;
};

}  // namespace fretloom::voice
