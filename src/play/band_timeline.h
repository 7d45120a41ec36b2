#pragma once
// What a band plays, at exact frames: bass and rhythm guitar for the string voice, drums, keys and drone as hits of a
// few sounds. The same list serves a mixer that has a SoundFont and a web page that has a small kit of the sounds.

#include <cstdint>
#include <string>
#include <vector>

#include "band/play_vamp.h"
#include "play/render.h"
#include "play/string_track.h"
#include "play/timeline.h"

namespace fretloom {

/// A sound of a sampled player: one stroke, held as long as it rings.
struct HitSound {
  BandRole role = BandRole::drums;  ///< drums, keys or drone
  int key = 36;                     ///< MIDI note, or a DrumKey's number
  int velocity = 76;                ///< of the stroke, 1 to 127; a hit's level makes up for what it lacks

  friend auto operator<=>(const HitSound&, const HitSound&) = default;
};
/// "kick-76", "keys-64-72", "drone-40-64".
[[nodiscard]] std::string name(const HitSound& sound);

/// When a sound begins, how loud, and when it ends. Rise and fall are a quarter of a sine and of a cosine, so that one
/// hit that goes and another that comes are as loud as one.
struct BandHit {
  std::int64_t frame = 0;  ///< where half of the sound's height is to lie
  std::int64_t end = 0;    ///< > frame; from here on it falls; beyond a loop's end it goes on at its start
  std::int32_t rise = 0;   ///< frames in which it comes; 0: with its own attack
  std::int32_t fall = 240;
  std::int32_t sound = 0;  ///< index in BandTimeline::sounds
  float level = 1;         ///< factor, 0.05 to 3

  friend bool operator==(const BandHit&, const BandHit&) = default;
};

/// A part for the string voice.
struct BandStrings {
  BandRole role = BandRole::bass;  ///< bass or guitar
  StringPart part;
};

struct BandTimeline {
  std::vector<BandStrings> strings;  ///< bass, guitar, where the band has them
  std::vector<HitSound> sounds;      ///< distinct, ascending
  std::vector<BandHit> hits;         ///< ascending by frame
  std::int64_t frames = 0;
  bool loop = false;
};

/// The band over the stretches of a timeline, at the tempo of each, as long as the timeline and a loop where it is one.
/// A stretch begins with the vamp's first beat; where it is no loop, what falls on its last bar line is struck there
/// once more and rings out. Each note's frame is frame_of its beat behind its stretch's first frame, exactly; of a
/// strummed chord that is the first string's, the others follow within 10 ms.
///
/// - Bass: four strings from E1 (five from B0 where a note is lower), fingered near the last position.
/// - Guitar: six strings from E2, a chord's notes on as many strings within few frets, struck the way of the part's
///   strokes; palm-muted where the part is.
/// - Drums: three layers of velocity; an open hat ends at the next stroke of any hat. Keys: one layer; they fall for
///   0.12 s when they are let go. Drone: taken anew every 4 s, one swelling while the other falls.
///
/// Errors: those of play_vamp, the idea named; limit (more than 200,000 notes).
[[nodiscard]] Result<BandTimeline> lay_out_band(const IdeaSheet& idea, const Timeline& timeline,
                                                const BandOptions& options);

/// Where a player of the band sits: what every mixer of it keeps to, so that they sound alike.
struct Seat {
  double pan = 0;      ///< -1 left to 1 right; sides are cos and sin of a quarter turn (equal power)
  double gain_db = 0;  ///< of the string voice as it comes, or of a sound of the usual SoundFont
  double room = 0;     ///< share that goes into the room beside what is heard directly
};
/// Of a part; `key` is a DrumKey's number, and only drums have different seats by it.
[[nodiscard]] Seat seat_of(BandRole role, int key);

/// One line a note and a hit, for tests and people.
[[nodiscard]] std::string to_text(const BandTimeline& timeline);

/// The bass's and the guitar's sound in one piece each, by their roles, dry, unlevelled and in the middle. Error
/// stopped if `stop` was set.
struct BandTrack {
  BandRole role = BandRole::bass;
  Audio audio;
};
[[nodiscard]] Result<std::vector<BandTrack>> render_strings(const BandTimeline& timeline,
                                                            const StopFlag* stop = nullptr);

}  // namespace fretloom
