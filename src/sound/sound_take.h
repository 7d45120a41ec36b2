#pragma once
// One job as levelled sound, in pieces or whole.

#include <array>
#include <functional>
#include <vector>

#include "base/result.h"
#include "play/audio.h"
#include "sound/jobs.h"

namespace fretloom {

/// The next frames of a take: those stems that its job has, and the mix, interleaved.
struct TakePiece {
  std::array<std::vector<float>, k_stems> stems;

  [[nodiscard]] const std::vector<float>& of(Stem stem) const { return stems[static_cast<std::size_t>(stem)]; }
};
/// The same frames under the two ceilings: true peak at most -1 dBTP, and -2 where a lossy coder moves peaks.
struct TakePieces {
  TakePiece lossless, lossy;
};
using TakeListener = std::function<Result<void>(const TakePieces&)>;

/// Where a lick plays with a band it lies 6 LU above it, and the chords step back by 3 dB while it speaks.
constexpr double k_lick_over_band_lu = 6.0;

/// Plays a job twice, once for its levels and once for `listen`, and one with a band three times, for the balance of
/// the two: memory does not grow with its length. Errors: as lay_out; stopped; the listener's.
[[nodiscard]] Result<Timeline> play_take(const SoundJob& job, const TakeListener& listen,
                                         const StopFlag* stop = nullptr, const Progress& progress = {});

/// A whole take in memory.
struct SoundTake {
  Timeline timeline;
  Audio mix;
  Audio strings;
  Audio click;
  Audio band;  ///< empty where none plays
};
/// -16 LUFS, true peak at most -1 dBTP (-2 where `for_lossy`). Errors: as play_take.
[[nodiscard]] Result<SoundTake> make_take(const SoundJob& job, bool for_lossy, const StopFlag* stop = nullptr,
                                          const Progress& progress = {});

/// The mix as a file's bytes. Errors: as play_take, and the encoder's.
[[nodiscard]] Result<std::string> encode_take(const SoundJob& job, AudioFormat format, const AudioTags& tags,
                                              const StopFlag* stop = nullptr);

}  // namespace fretloom
