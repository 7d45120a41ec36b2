#pragma once
// How much of each part of a mix is heard: the music is brought to its loudness under a ceiling, the click keeps its
// own level and is never limited. Fed in chunks; memory is 20 bytes a block of 64 frames, whatever the length.

#include <algorithm>
#include <array>
#include <cstdint>
#include <vector>

namespace fretloom {

struct LevelOptions {
  double target_lufs = -16.0;
  double ceiling_dbtp = -1.0;
  bool loop = false;       ///< levels are worked out round the seam, so that it stays seamless
  double click_db = -7.0;  ///< peak of a click of height 1 in the finished sound, dBFS
};

/// What to multiply with. The music's gain is one factor, with a dip of smooth sides (5 ms) where music and click
/// would pass the ceiling together.
struct Levels {
  static constexpr std::int64_t k_block = 64;
  std::vector<float> music;  ///< at each block's edges, straight lines between
  float click = 1.0F;
  std::int64_t frames = 0;

  [[nodiscard]] float music_at(std::int64_t frame) const {
    const auto block = static_cast<std::size_t>(frame / k_block);
    const std::int64_t length = std::min(k_block, frames - frame / k_block * k_block);  // the last one may be shorter
    const float part = static_cast<float>(frame % k_block) / static_cast<float>(length);
    return music[block] + (music[block + 1] - music[block]) * part;
  }
};

/// Listens to a piece once. Loudness as ITU-R BS.1770-4 (K-weighting, windows of 400 ms that overlap by three
/// quarters, gates at -70 LUFS and 10 LU below), true peak by four-fold interpolation (its annex 2).
class LevelMeter {
 public:
  /// `frames`: how many will come, at least 1.
  LevelMeter(std::int64_t frames, bool loop);
  /// The same for loudness alone, which takes a fourth of the time: only music_lufs is called.
  enum class Listens { to_all, to_loudness };
  LevelMeter(std::int64_t frames, bool loop, Listens listens);
  /// The next `count` frames, interleaved left and right; `click` may be nullptr.
  void add(const float* music, const float* click, std::int64_t count);
  /// After the last frame. A piece too quiet or too short to measure (below -70 LUFS, under 0.4 s) is brought to a
  /// true peak of -12 dBTP at most. A piece of clicks alone is brought to the target as far as the ceiling lets it.
  [[nodiscard]] Levels levels(const LevelOptions& options) const;
  /// The music's loudness as it came, without the click; -200 where there is none above -70 LUFS.
  [[nodiscard]] double music_lufs() const;

 private:
  static constexpr int k_taps = 24;
  static constexpr std::int64_t k_piece = 1024;  ///< frames worked on at once
  static constexpr std::size_t k_signals = 3;    ///< left, right, click

  struct Weighting {
    std::array<double, 4> state{};
    double run(double x);
  };
  /// Of 64 frames: energies of music, click and both together after weighting, and peaks.
  struct Block {
    float music = 0, click = 0, both = 0;
    float music_peak = 0, click_peak = 0;
  };
  using Line = std::array<float, k_taps + k_piece>;  ///< what came before, then a piece

  void add_energies(std::int64_t count);
  void add_peaks(std::int64_t count);
  [[nodiscard]] double loudness(const std::vector<float>& gain, double click) const;
  void dip(std::vector<float>& gain, double factor, double click, double ceiling) const;

  std::int64_t frames_;
  bool loop_;
  Listens listens_;
  std::int64_t done_ = 0;
  std::vector<Block> blocks_;
  std::array<Weighting, k_signals> weighting_;
  std::array<Line, k_signals> line_{};
  std::array<std::vector<float>, k_signals> first_;  ///< what follows a loop's end
};

}  // namespace fretloom
