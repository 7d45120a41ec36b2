#pragma once
// From the pickup to the ear: the pickup's own resonance, drive stages, tone, loudspeaker or wooden body.

#include "sound/kernel/filters.h"

namespace fretloom::voice {

/// What answers the amplifier or the bridge.
enum class Box : int32_t { none, open_back, closed_back, bass_cabinet, body };

/// One voicing, a row of the table in amplifier.cpp, named by what is heard.
struct Voicing {
  const char* name;     ///< plain word, lower case
  double sustain;       ///< decay times against a plain string of steel and bronze
  double high_t60;      ///< seconds at 5 kHz, times the string's own
  double second;        ///< level of the string's second plane as it is heard here
  double pickup_place;  ///< distance from the bridge, part of the open string; 0: at the bridge
  double pickup_hz;     ///< resonance of coil and cable
  double pickup_q;
  double gain_db;           ///< into the first stage
  double second_db;         ///< into the second stage; used if stages is 2
  int stages;               ///< 0 to 2
  double bias;              ///< lopsidedness of the curve at rest, 0 to 0.4: even harmonics
  double sag;               ///< how far loud playing lowers the supply: 0 to 1
  double low_cut_hz;        ///< before the drive
  double body_hz, body_db;  ///< bell after the drive
  double bite_hz, bite_db;  ///< bell after the drive
  Box box;
  double out_db;
  double hiss_db;  ///< noise floor against full scale
  double room;     ///< level of the reverberation, 0 to 1
};

constexpr int k_voicings = 7;
/// Rows behind those that a lick can choose, straight into the desk: a clean rhythm guitar that leaves the lick its
/// place, and a bass played with the fingers.
constexpr int k_rhythm_guitar = 7;
constexpr int k_finger_bass = 8;
constexpr int k_all_voicings = 9;
/// Precondition: 0 <= index < k_all_voicings. "plain" (the strings alone), "bright", "dark", "gritty", "singing",
/// "woody", "deep".
[[nodiscard]] const Voicing& voicing(int index);

/// A soft clipping curve without aliases: first-order antiderivative averaging (Parker, Zavalishin and
/// Le Bivic 2016) inside a four-fold rate. Output within -2 to 2 for any input.
class Clipper {
 public:
  void prepare(double bias);
  /// `shift`: how far the bias has moved.
  double run(double x, double shift);

 private:
  double bias_ = 0, rest_ = 0, last_ = 0, last_area_ = 0;
};

class Amplifier {
 public:
  void prepare(const Voicing& voicing);
  /// In place, any number of frames. No latency: the first frame out answers the first frame in.
  void run(float* frames, int count);
  /// The drive alone, for tests of aliasing.
  double drive(double x);

 private:
  static constexpr int k_most_bells = 14;
  struct Mode {
    double a1 = 0, a2 = 0, gain = 0, y1 = 0, y2 = 0;
  };

  void prepare_box(Box box);
  double through_box(double x);

  const Voicing* voicing_ = nullptr;
  double gain_ = 1, second_ = 1, out_ = 1;
  double loud_ = 0, supply_ = 0;  ///< followed levels: what moves the bias, what makes the supply sag
  Section pickup_, low_cut_, between_, block_, body_, bite_;
  int bells_ = 0, modes_ = 0;
  Section bell_[k_most_bells];
  Mode mode_[k_most_bells];
  Clipper first_, last_;
  HalfBand<8> up2_, down2_;
  HalfBand<3> up4_, down4_;
};

}  // namespace fretloom::voice
