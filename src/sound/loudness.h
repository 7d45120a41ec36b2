#pragma once
// How loud it is, and making it as loud as it should be (EBU R128, ITU-R BS.1770-4).

#include <vector>

#include "base/result.h"
#include "base/units.h"
#include "play/audio.h"

namespace fretloom {

struct Loudness {
  double integrated_lufs = 0;  ///< gated; below -70 where there is (almost) nothing
  double range_lu = 0;
  double true_peak_dbtp = 0;  ///< of both channels, by four-fold interpolation
  double sample_peak_db = 0;
  double loudest_moment_lufs = 0;  ///< highest momentary loudness (400 ms)
};

/// Error range: no frames.
[[nodiscard]] Result<Loudness> measure_loudness(const Audio& audio);

struct LevelOptions {
  double target_lufs = -16.0;
  double ceiling_dbtp = -1.0;
  bool loop = false;  ///< gain is worked out round the seam, so that it stays seamless
};

/// The gain of every frame that brings `mix` to the target under the ceiling: one factor, and where
/// peaks would pass the ceiling a dip with smooth sides of 5 ms (nothing is clipped). A mix too quiet or
/// too short to measure (below -70 LUFS, or under 0.4 s) is brought to a true peak of -12 dBTP at most.
/// Error range: no frames.
[[nodiscard]] Result<std::vector<float>> level_gain(const Audio& mix, const LevelOptions& options);

/// Multiplies every frame by its gain. Precondition: one gain a frame.
void apply_gain(Audio& audio, const std::vector<float>& gain);

/// a + factor * b, frame by frame. Precondition: equal lengths.
[[nodiscard]] Audio mix(const Audio& a, const Audio& b, float factor);

}  // namespace fretloom
