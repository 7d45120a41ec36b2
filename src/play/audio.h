#pragma once
// Sound in memory.

#include <cstdint>
#include <vector>

namespace fretloom {

constexpr int k_sample_rate = 48000;  ///< frames a second, everywhere
constexpr int k_channels = 2;

/// Stereo sound at 48 kHz, interleaved left right. Full scale is 1; values may pass it before levelling.
struct Audio {
  std::vector<float> samples;

  [[nodiscard]] std::int64_t frames() const { return static_cast<std::int64_t>(samples.size()) / k_channels; }
  [[nodiscard]] double seconds() const { return static_cast<double>(frames()) / k_sample_rate; }
};

}  // namespace fretloom
