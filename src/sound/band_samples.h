#pragma once
// Drums, keys and drone by FluidSynth from a General MIDI SoundFont: each distinct sound is rendered once, from silence
// and from its first frame on, and kept. FluidSynth's own player starts notes up to 63 frames late (its blocks have
// 64).

#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <vector>

#include "base/result.h"
#include "play/audio.h"
#include "play/band_timeline.h"

namespace fretloom {

/// Where Debian's package fluid-soundfont-gm puts it (MIT licence).
inline constexpr std::string_view k_usual_soundfont = "/usr/share/sounds/sf2/FluidR3_GM.sf2";

struct Sample {
  std::vector<float> mono;  ///< both sides' mean, until it is below -80 dBFS; keys and drone are held for 8 s at most
  std::int64_t attack = 0;  ///< frames until its envelope first has half its height: what is heard as the onset
};

/// What the band needs of a SoundFont, and the sounds rendered from it so far; for any number of threads.
class BandSamples {
 public:
  /// The file is read when the first sound is asked for.
  explicit BandSamples(std::string path = std::string(k_usual_soundfont));
  ~BandSamples();

  /// Whether the file is a SoundFont. Error io: it is not there or is none; the message names the package that has it.
  [[nodiscard]] Result<void> check() const;
  /// Rendered at the first call, kept for the next. Points into this object. Errors io: as check; FluidSynth refuses.
  [[nodiscard]] Result<const Sample*> sample(const HitSound& sound);
  [[nodiscard]] std::size_t rendered() const;

 private:
  struct Font;
  Result<void> open();
  Result<Sample> render(const HitSound& sound) const;

  std::string path_;
  mutable std::mutex mutex_;
  std::unique_ptr<Font> font_;
  std::map<HitSound, Sample> samples_;
};

}  // namespace fretloom
