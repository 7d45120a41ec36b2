#pragma once
// The band as sound, in pieces: bass and guitar by the string voice, drums, keys and drone by their samples, each in
// its seat and in one room.

#include <memory>
#include <vector>

#include "play/band_timeline.h"
#include "sound/band_samples.h"

namespace fretloom {

/// The next frames of each part, interleaved, in their balance, not yet levelled; they add up to the band.
struct BandPiece {
  std::vector<float> bass, chords, drums;  ///< chords: guitar, keys and drone
};

/// Plays a band's timeline. Half of each sound's height lies at the exact frame of its hit; what rings beyond a loop's
/// end goes on at its beginning, so that it has no seam. The room is linear and the same for all parts, so each part
/// keeps its own share of it.
class BandPlayer {
 public:
  /// `samples` may be nullptr: bass and guitar alone. Error io: as BandSamples::sample; stopped.
  [[nodiscard]] static Result<std::unique_ptr<BandPlayer>> make(const BandTimeline& timeline, BandSamples* samples,
                                                                const StopFlag* stop = nullptr);
  BandPlayer(const BandPlayer&) = delete;
  BandPlayer& operator=(const BandPlayer&) = delete;
  ~BandPlayer();

  /// Back to the first frame; the same frames come again.
  void rewind();
  /// The next `count` frames. Precondition: they are left.
  void read(BandPiece& piece, std::int64_t count);

 private:
  class Hits;
  class Part;
  BandPlayer(const BandTimeline& timeline, std::vector<const Sample*> samples);

  std::vector<std::unique_ptr<Part>> parts_;  ///< bass, chords, drums
};

}  // namespace fretloom
