#pragma once
// One job as levelled sound, in pieces or whole.

#include <functional>
#include <vector>

#include "base/result.h"
#include "play/audio.h"
#include "sound/jobs.h"

namespace fretloom {

/// The next frames of a take: the mix and its parts, interleaved, which add up to it.
struct TakePiece {
  std::vector<float> mix, strings, click;

  [[nodiscard]] const std::vector<float>& of(Stem stem) const;
};
/// The same frames under the two ceilings: true peak at most -1 dBTP, and -2 where a lossy coder moves peaks.
struct TakePieces {
  TakePiece lossless, lossy;
};
using TakeListener = std::function<Result<void>(const TakePieces&)>;

/// Plays a job twice, once for its levels and once for `listen`: memory does not grow with its length.
/// Errors: as lay_out; stopped; the listener's.
[[nodiscard]] Result<Timeline> play_take(const SoundJob& job, const TakeListener& listen,
                                         const StopFlag* stop = nullptr, const Progress& progress = {});

/// A whole take in memory.
struct SoundTake {
  Timeline timeline;
  Audio mix;
  Audio strings;
  Audio click;
};
/// -16 LUFS, true peak at most -1 dBTP (-2 where `for_lossy`). Errors: as play_take.
[[nodiscard]] Result<SoundTake> make_take(const SoundJob& job, bool for_lossy, const StopFlag* stop = nullptr,
                                          const Progress& progress = {});

/// The mix as a file's bytes. Errors: as play_take, and the encoder's.
[[nodiscard]] Result<std::string> encode_take(const SoundJob& job, AudioFormat format, const AudioTags& tags,
                                              const StopFlag* stop = nullptr);

}  // namespace fretloom
