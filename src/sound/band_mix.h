#pragma once
// The sampled players of a band as one seamless loop.

#include "play/render.h"
#include "score/band.h"
#include "sound/band_samples.h"

namespace fretloom {

/// Strokes of drums are rendered at every fourth velocity alone, keys and drone at every eighth: half of what tells two
/// strokes apart is under a decibel, and a lesson needs a fourth of the samples.
constexpr int k_drum_velocity_step = 4;
constexpr int k_keys_velocity_step = 8;

/// The parts of these roles at `bpm`, mixed: frame_of(band.length, bpm) frames, in which every note's half envelope
/// lies at frame_of its onset and tails behind the end go on at the beginning, so that the loop has no seam. An open
/// hat is stopped by the next stroke of any hat within 5 ms. Not levelled. Preconditions: no role twice; bass and
/// guitar are the string voice's and are left out. Errors: those of `samples`; stopped; range (tempo); limit (30
/// minutes).
[[nodiscard]] Result<Audio> mix_band(const Band& band, const Rational& bpm, BandSamples& samples,
                                     const std::vector<BandRole>& roles = {BandRole::keys, BandRole::drone,
                                                                           BandRole::drums},
                                     const StopFlag* stop = nullptr);

}  // namespace fretloom
