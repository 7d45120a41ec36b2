#pragma once
// The chapter list of a video or recording: "0:00 Six that folds back, ...".

#include <string>
#include <vector>

#include "base/result.h"
#include "score/score.h"
#include "sound/timeline.h"

namespace fretloom {

struct ChapterEntry {
  double seconds = 0;  ///< start, from the beginning; finite, at least 0
  std::string title;
};

/// A section of the teacher's own recording and how long it lasts, as typed: "m:ss", "h:mm:ss" or
/// seconds ("95", "95.5").
struct Section {
  std::string title;
  std::string duration;
};

/// Seconds of "1:35", "1:02:03", "95" or "95.5". Legal: above 0, at most 24 hours; minutes (behind hours)
/// and seconds below 60 with two digits behind a colon. Errors: syntax, range.
[[nodiscard]] Result<double> parse_duration(std::string_view text);

/// Each section starts where the one before ends. Errors as parse_duration, `what` naming the section:
/// "section 2 (Rule): ...". No sections is a range error.
[[nodiscard]] Result<std::vector<ChapterEntry>> chapters_of(const std::vector<Section>& sections);

/// All demos of a handout one behind the other, every feel at its slow and then at its goal tempo (once
/// where they are equal), each as long as lay_out makes it with count-in and ring-out. Starts are added up
/// in whole frames. `options` gives count-in and times; piece and bpm are set here. Errors: those of
/// lay_out, `what` naming the demo; range if there is no idea.
[[nodiscard]] Result<std::vector<ChapterEntry>> demo_chapters(const Handout& handout,
                                                              const TimelineOptions& options = {});

/// One line a chapter, "m:ss title", "h:mm:ss title" from an hour on; starts are
/// cut to whole seconds, so that no chapter begins too late. Nothing is demanded of a chapter's length.
/// Errors (range): no chapters; the first not at 0:00; two that start in one second or go back; a title
/// that is empty.
[[nodiscard]] Result<std::string> chapters_text(const std::vector<ChapterEntry>& chapters);

}  // namespace fretloom
