#pragma once
// Captions for a recording of an idea: which string and frets are being played.
//
// The caller lays the sound out and passes its times; nothing here knows tempo or sound. From a timeline of whole runs
// of the score (a demo, a ladder or bursts: an endless loop has no captions): `times` are its played notes' onset and
// end, in their order, and `rate` its sample rate.

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "base/result.h"
#include "score/handout.h"

namespace fretloom {

/// What one caption holds: a time through the rule (the ending belongs to the last one) or a bar.
enum class CaptionSplit { repetition, bar };

/// When a note sounds, in frames from the start of the recording; end > begin >= 0.
struct NoteTime {
  std::int64_t begin = 0;
  std::int64_t end = 0;
};

/// One caption; times as in NoteTime. The text is plain, lines parted by '\n'.
struct Cue {
  std::int64_t begin = 0;
  std::int64_t end = 0;  ///< where its last note ends; > begin
  std::string text;
};

/// The captions of a recording in which the score's notes are played from first to last, once or more: `times` holds
/// one entry a played note. The first caption names the idea, the feel and `tempo` ("120 beats a minute", see
/// caption_tempo) for as long as the count-in lasts, which is until the first note; it is left out where there is none.
/// Then one after another, "string 6: 12 15 14 15 | string 5: 14 12", with h, p or s before a slurred fret and a new
/// line before 42 columns are passed. Error (range): the times are not whole runs of the score.
[[nodiscard]] Result<std::vector<Cue>> caption_cues(const IdeaSheet& idea, const Score& score,
                                                    std::span<const NoteTime> times, std::string_view tempo,
                                                    CaptionSplit split = CaptionSplit::repetition);

/// "120 beats a minute"; of a ladder "60 to 120 beats a minute".
[[nodiscard]] std::string caption_tempo(const Rational& from, const Rational& to);

/// WebVTT (W3C, "WebVTT: The Web Video Text Tracks Format", section 4, syntax): the header, then cues with
/// a number as identifier, `hh:mm:ss.mmm --> hh:mm:ss.mmm` (nearest millisecond), and the text with &, <
/// and > escaped. A cue that would have no length in milliseconds lasts one. `rate` is frames a second, > 0.
[[nodiscard]] std::string web_vtt(const std::vector<Cue>& cues, int rate);

}  // namespace fretloom
