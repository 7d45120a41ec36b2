#pragma once
// Drums, keys and drone by FluidSynth from a General MIDI SoundFont: each distinct stroke is rendered once, from
// silence and from its first frame on, and kept. FluidSynth's own player starts notes up to 63 frames late (its blocks
// have 64).

#include <map>
#include <memory>
#include <string>
#include <tuple>

#include "base/result.h"
#include "play/audio.h"
#include "score/band.h"

namespace fretloom {

/// Where Debian's package fluid-soundfont-gm puts it (MIT licence).
inline constexpr std::string_view k_usual_soundfont = "/usr/share/sounds/sf2/FluidR3_GM.sf2";

/// A key of an instrument, struck. Equal ones sound equal, bit by bit.
struct SampledStroke {
  BandRole role = BandRole::drums;
  int key = 36;           ///< MIDI note, or a DrumKey's number
  int velocity = 64;      ///< 1 to 127
  std::int64_t held = 0;  ///< frames until the key is let go, rounded up to whole blocks; drums ring out

  friend auto operator<=>(const SampledStroke&, const SampledStroke&) = default;
};

struct Sample {
  Audio audio;              ///< until it is below -80 dBFS, at most 8 s after the key is let go; unlevelled
  std::int64_t attack = 0;  ///< frames until its envelope first has half its height: what is heard as the onset
};

/// What the band needs of a SoundFont, and the strokes rendered from it so far. Not for two threads at once.
class BandSamples {
 public:
  /// Error io: the file is not there or no SoundFont; the message names the package that has it.
  [[nodiscard]] static Result<BandSamples> open(const std::string& path = std::string(k_usual_soundfont));

  BandSamples(BandSamples&&) noexcept;
  BandSamples& operator=(BandSamples&&) noexcept;
  ~BandSamples();

  /// Rendered at the first call, kept for the next. Points into this object. Error io: FluidSynth refuses.
  [[nodiscard]] Result<const Sample*> sample(const SampledStroke& stroke);
  [[nodiscard]] std::size_t rendered() const { return samples_.size(); }

 private:
  struct Font;
  explicit BandSamples(std::unique_ptr<Font> font);

  std::unique_ptr<Font> font_;
  std::map<SampledStroke, Sample> samples_;
};

}  // namespace fretloom
