#pragma once
// How loud it is, and making it as loud as it should be (EBU R128, ITU-R BS.1770-4).

#include <vector>

#include "base/result.h"
#include "base/units.h"
#include "play/audio.h"
#include "sound/level.h"

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

/// The gain of every frame that brings a whole `mix` to the target under the ceiling (level.h). Error range: no frames.
[[nodiscard]] Result<std::vector<float>> level_gain(const Audio& mix, const LevelOptions& options);

/// Multiplies every frame by its gain. Precondition: one gain a frame.
void apply_gain(Audio& audio, const std::vector<float>& gain);

/// a + factor * b, frame by frame. Precondition: equal lengths.
[[nodiscard]] Audio mix(const Audio& a, const Audio& b, float factor);

}  // namespace fretloom
