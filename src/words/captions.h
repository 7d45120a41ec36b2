#pragma once
// Captions for a demo's sound: which string and frets are being played.

#include <string>
#include <vector>

#include "base/result.h"
#include "score/score.h"
#include "sound/timeline.h"

namespace fretloom {

/// What one caption holds: a time through the rule (the ending belongs to the last one) or a bar.
enum class CaptionSplit { repetition, bar };

/// One caption. Frames count from the start of the sound; the text is plain, lines parted by '\n'.
struct Cue {
  std::int64_t begin = 0;
  std::int64_t end = 0;  ///< where its last note ends; > begin
  std::string text;
};

/// The captions of what lay_out(score, options) plays, from its very frames. The first one names idea,
/// feel and tempo for as long as the count-in lasts (left out where there is none or no name); then one
/// after another, "string 6: 12 15 14 15 | string 5: 14 12", with h, p or s before a slurred fret and a
/// new line before 42 columns are passed. Pieces: demo, ladder and bursts; the others, which have no end,
/// are a range error. Other errors: those of lay_out.
[[nodiscard]] Result<std::vector<Cue>> caption_cues(const Score& score, const TimelineOptions& options,
                                                    CaptionSplit split = CaptionSplit::repetition);

/// WebVTT (W3C, "WebVTT: The Web Video Text Tracks Format", section 4, syntax): the header, then cues with
/// a number as identifier, `hh:mm:ss.mmm --> hh:mm:ss.mmm` (nearest millisecond), and the text with &, <
/// and > escaped. A cue that would have no length in milliseconds lasts one.
[[nodiscard]] std::string web_vtt(const std::vector<Cue>& cues);

/// Both.
[[nodiscard]] Result<std::string> captions(const Score& score, const TimelineOptions& options,
                                           CaptionSplit split = CaptionSplit::repetition);

}  // namespace fretloom
