#pragma once
// Measuring instruments of the tests: none of them uses an algorithm of the voice.

#include <complex>
#include <cstdint>
#include <string>
#include <vector>

#include "play/audio.h"
#include "score/handout.h"
#include "sound/kernel/plucked_string.h"

namespace fretloom::signal {

/// Magnitudes of the bins 0 to size/2 of a Hann-windowed transform (KissFFT) of `size` frames.
std::vector<double> spectrum(const std::vector<float>& x, std::size_t from, std::size_t size);

/// Frequency of the peak nearest to `near_hz` (within `cents`), by a parabola through the logarithms of
/// three bins of a transform padded to four times its length. Resolves 0.01 cents on a lone partial.
double peak_hz(const std::vector<float>& x, std::size_t from, std::size_t size, double near_hz, double cents);

/// The fundamental within `cents` of `near_hz`, in steps of 5 cents, whose first eight partials are strongest
/// together (square roots of the magnitudes, so that one loud partial does not decide).
double pitch_hz(const std::vector<float>& x, std::size_t from, std::size_t size, double near_hz, double cents);

/// Seconds for 60 dB, from the straight line through the levels of the partial at `hz` in Hann windows
/// of 1/8 s between `from` and `to` seconds.
double t60_of(const std::vector<float>& x, double hz, double from, double to);

/// Level of one frequency over a Hann window, linear.
double tone_level(const std::vector<float>& x, std::size_t from, std::size_t size, double hz);

/// Power-weighted mean frequency up to `top_hz`.
double centroid(const std::vector<float>& x, std::size_t from, std::size_t size, double top_hz);

/// One string's sound, a plain stroke at frame 0, without amplifier.
std::vector<float> pluck(voice::PluckedString& string, int fret, double mute, double seconds,
                         const voice::Strike& strike = {});

/// Where something new begins, in frames, ascending: peaks of the log-spectral flux, every 128 frames, that
/// stand out from the 200 ms around. The Hann windows hold one and a half periods of `lowest_hz` and at
/// least 1024 frames; onsets nearer than that to each other are not told apart. A sudden damping shows
/// as an onset too.
std::vector<std::int64_t> onsets(const std::vector<float>& x, double lowest_hz);

/// Left channel.
std::vector<float> left(const Audio& audio);
double decibels(double amplitude);

}  // namespace fretloom::signal

namespace fretloom::demo {

/// Tunings the tests go over: open strings thick to thin.
struct Tuning {
  std::string name;
  std::vector<int> open;  ///< MIDI
  bool bass = false;
};
const std::vector<Tuning>& tunings();

/// An idea in 4/4 at one feel of `notes` equal notes that weaves over the strings of a standard tuning: frets 5 to 8,
/// six notes a string, alternate strokes.
IdeaSheet weaving(int notes, int notes_per_beat);
/// Puts one more note behind the last one of an idea's first feel.
void append(IdeaSheet& idea, const Rational& onset, const Rational& duration, int string, int fret,
            Attack attack = Attack::pick);
/// An idea at one feel without notes.
IdeaSheet empty_idea(const Tuning& tuning);

}  // namespace fretloom::demo
