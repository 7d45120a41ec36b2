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

/// Where a caption may end: after a round of the rule (the ending belongs to the last one) or after a bar.
enum class CaptionSplit { repetition, bar };

/// What a reader manages: at most so many characters a second, and no caption shorter than a second. Common practice of
/// subtitlers, from memory, no source.
constexpr int k_most_characters_a_second = 17;
constexpr int k_least_caption_seconds = 1;

/// When a note sounds, in frames from the start of the recording; end > begin >= 0.
struct NoteTime {
  std::int64_t begin = 0;
  std::int64_t end = 0;
};

/// Whether a text can be read in this time.
[[nodiscard]] bool is_readable(std::string_view text, std::int64_t frames, int rate);

/// One caption; times as in NoteTime. The text is plain, lines parted by '\n'.
struct Cue {
  std::int64_t begin = 0;
  std::int64_t end = 0;  ///< where the next one begins, of the last one where its last note ends; > begin
  std::string text;
};

/// The captions of a recording in which the score's notes are played from first to last, once or more: `times` holds
/// one entry a played note, `rate` is frames a second, > 0. The first caption names the idea, the feel and `tempo`
/// ("120 beats a minute", see caption_tempo) for as long as the count-in lasts, which is until the first note; less of
/// it where that is short. Then one after another, each up to the next: "string 6: 12 15 14 15 | string 5: 14 12",
/// with h, p or s before a slurred fret and a new line before 42 columns are passed. Where nobody could read that in
/// time, "6: 12 15 14 15 | 5: 14 12", else the strings alone, "strings 6 to 5", of as many rounds or bars as it takes.
/// No caption is shown that cannot be read: none at all where the whole is too short. Error (range): the times are not
/// whole runs of the score.
[[nodiscard]] Result<std::vector<Cue>> caption_cues(const IdeaSheet& idea, const Score& score,
                                                    std::span<const NoteTime> times, int rate, std::string_view tempo,
                                                    CaptionSplit split = CaptionSplit::repetition);

/// "120 beats a minute"; of a ladder "60 to 120 beats a minute".
[[nodiscard]] std::string caption_tempo(const Rational& from, const Rational& to);

/// WebVTT (W3C, "WebVTT: The Web Video Text Tracks Format", section 4, syntax): the header, then cues with
/// a number as identifier, `hh:mm:ss.mmm --> hh:mm:ss.mmm` (nearest millisecond), and the text with &, <
/// and > escaped. A cue that would have no length in milliseconds lasts one. `rate` is frames a second, > 0.
[[nodiscard]] std::string web_vtt(const std::vector<Cue>& cues, int rate);

}  // namespace fretloom
