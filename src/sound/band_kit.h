#pragma once
// The sampled sounds of a lesson's bands as one small file, for pages that have no SoundFont.

#include <string>
#include <vector>

#include "base/result.h"
#include "score/handout.h"
#include "sound/band_samples.h"

namespace fretloom {

struct BandKit {
  std::string audio;  ///< Ogg Opus, 48 kHz: one side, the sounds one behind the other
  std::string index;  ///< JSON, see below
};

/// The sounds that the bands of a handout hit at any rung of their ladders, distinct, ascending; of keys and drone
/// those that lie three semitones apart, since a page moves the nearest to the pitch that it needs. Errors: those of
/// lay_out_band.
[[nodiscard]] Result<std::vector<HitSound>> kit_sounds(const Handout& handout, const BandOptions& options);

/// A kit of these sounds. Drums ring for 0.5 to 1.6 s, keys for 2.2 s, a drone for 6 s, and fade at their ends.
///
///     {"rate": 48000, "sounds": [{"role": "drums", "key": 36, "velocity": 76, "first": 0, "frames": 24000,
///                                 "attack": 310, "gain": 0.21, "pan": 0, "seat": 4.47, "room": 0.05}, ...]}
///
/// `first` and `frames` say where a sound lies in the decoded audio, `attack` where half of its height is. A hit
/// (play/band_timeline.h) is played from its frame less `attack`, times its level, `gain` (the sounds are coded equally
/// loud) and `seat`; `pan` and `room` are the seat's. Errors: range (no sounds); as BandSamples::sample; the encoder's.
[[nodiscard]] Result<BandKit> make_kit(const std::vector<HitSound>& sounds, BandSamples& samples);

}  // namespace fretloom
