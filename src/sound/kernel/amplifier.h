#pragma once
// From the pickup to the ear: the pickup's own resonance, drive stages, tone and loudspeaker.

#include "sound/kernel/filters.h"

namespace fretloom::voice {

/// One voicing, a row of the table in amplifier.cpp.
struct Voicing {
  const char* name;     ///< plain word, lower case
  double pickup_place;  ///< distance from the bridge, part of the open string
  double pickup_hz;     ///< resonance of coil and cable
  double pickup_q;
  double gain_db;           ///< into the first stage
  double second_db;         ///< into the second stage; used if stages is 2
  int stages;               ///< 0 to 2
  double bias;              ///< lopsidedness of the curve, 0 to 0.4: even harmonics
  double low_cut_hz;        ///< before the drive
  double body_hz, body_db;  ///< bell after the drive
  double bite_hz, bite_db;  ///< bell after the drive
  bool speaker;             ///< cabinet response
  double speaker_low_hz, speaker_high_hz;
  double out_db;
  double room;  ///< level of the reverberation, 0 to 1
};

constexpr int k_voicings = 6;
/// Precondition: 0 <= index < k_voicings. "direct", "clean", "warm", "crunch", "lead", "bass".
[[nodiscard]] const Voicing& voicing(int index);

/// A soft clipping curve without aliases: first-order antiderivative averaging (Parker, Zavalishin and
/// Le Bivic 2016) inside a four-fold rate. Output within -1 to 1 for any input.
class Clipper {
 public:
  void prepare(double bias);
  double run(double x);

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
  const Voicing* voicing_ = nullptr;
  double gain_ = 1, second_ = 1, out_ = 1;
  Section pickup_, low_cut_, between_, block_, body_, bite_, cone_low_, cone_high_[2], presence_, dip_;
  Clipper first_, last_;
  HalfBand<8> up2_, down2_;
  HalfBand<3> up4_, down4_;
};

}  // namespace fretloom::voice
