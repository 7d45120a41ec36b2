#pragma once
// What the band plays over the vamp, as the outputs take it: parts of notes with exact times. `src/band` computes it;
// plain data here, so that sound and the file formats need not know how.

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/units.h"
#include "score/meter.h"
#include "score/stroke.h"
#include "theory/pitch.h"

namespace fretloom {

/// Who plays a part. Chords are the guitar's or the keys'; the drone holds the key's root.
enum class BandRole { bass, guitar, keys, drone, drums };
inline constexpr std::array k_band_roles = {BandRole::bass, BandRole::guitar, BandRole::keys, BandRole::drone,
                                            BandRole::drums};
/// "bass", "guitar".
[[nodiscard]] std::string_view name(BandRole role);
/// General MIDI program from 0: finger bass 33, clean guitar 27, electric piano 4, string ensemble 48; drums have none.
[[nodiscard]] std::optional<int> midi_program(BandRole role);

/// Keys of the General MIDI percussion map that the band's drummer uses.
enum class DrumKey : std::uint8_t {
  kick = 36,
  side_stick = 37,
  snare = 38,
  low_tom = 41,
  closed_hat = 42,
  pedal_hat = 44,
  middle_tom = 45,
  open_hat = 46,  ///< stops at the next stroke of any hat
  high_tom = 48,
  crash = 49,
  ride = 51,
};
[[nodiscard]] std::string_view name(DrumKey key);

/// accent: louder. brief: damped before the next note is due. muted: with the palm on the guitar's strings. ghost:
/// hardly heard; on bass a string that is damped as it is plucked. fill: a drum stroke outside the bar's own pattern.
enum class BandTouch { plain, accent, brief, muted, ghost, fill };

/// Why a note has its pitch.
enum class BandTone {
  chord,               ///< a tone of the sounding chord; `degree` says which
  slash_bass,          ///< the note after the chord's slash
  chromatic_approach,  ///< a semitone from the next chord's bass note
  scale_approach,      ///< a note of the key one step from it
  fifth_approach,      ///< a fifth above it or a fourth below
  pedal,               ///< the key's root or fifth, whatever the chord
  drum,
};

struct BandNote {
  Beats onset;        ///< from the loop's start, swung; 0 <= onset < Band::length
  Beats duration;     ///< > 0; ends in the loop
  int key = 60;       ///< MIDI note, or a DrumKey's number
  int velocity = 64;  ///< 1 to 127
  BandTouch touch = BandTouch::plain;
  BandTone tone = BandTone::chord;
  Degree degree;                 ///< above the chord's root, of chord tones
  std::optional<Stroke> stroke;  ///< of the guitar's pick

  friend bool operator==(const BandNote&, const BandNote&) = default;
};

/// Bass and chords keep out of the lick's register where there is room; `shared` says that there was none and they were
/// asked to play all the same.
enum class RegisterUse { apart, shared };

struct BandPart {
  BandRole role = BandRole::bass;
  RegisterUse registers = RegisterUse::apart;
  std::vector<BandNote> notes;  ///< ascending by onset, then key

  friend bool operator==(const BandPart&, const BandPart&) = default;
};

/// One loop: whole turns of the vamp, whose end joins its start. A pick-up is played over its last bars.
struct Band {
  std::vector<BandPart> parts;  ///< one a role, in the order of BandRole; those that play nothing are left out
  int turns = 0;                ///< of the vamp
  int bars = 0;
  Beats length;

  [[nodiscard]] const BandPart* part(BandRole role) const;
  friend bool operator==(const Band&, const Band&) = default;
};

/// The part score: a line a moment, "3+1/2  bass E2 root +1/2 v92 | drums kick v100", under a line a bar.
[[nodiscard]] std::string to_text(const Band& band, const Meter& meter);

}  // namespace fretloom
