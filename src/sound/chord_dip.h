#pragma once
// How the chords step back while the lick speaks.

#include <cstdint>
#include <vector>

#include "play/audio.h"
#include "play/timeline.h"

namespace fretloom {

/// A gain that is 1 where the lick is silent and 0.71 (-3 dB) from its notes' onsets to their ends: down in 60 ms
/// before a note, up again in 350 ms behind the last one of a run, along half a cosine. Gaps that are shorter than both
/// are no rest. Round the end of a loop, too.
class ChordDip {
 public:
  explicit ChordDip(const Timeline& timeline);
  /// Precondition: frames are asked for in ascending order; 0 begins again.
  [[nodiscard]] float gain_at(std::int64_t frame);

 private:
  struct Span {
    std::int64_t from;
    std::int64_t to;
  };
  std::vector<Span> spans_;  ///< ascending, apart
  std::size_t next_ = 0;     ///< the first that is not over
};

}  // namespace fretloom
