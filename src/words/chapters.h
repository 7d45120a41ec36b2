#pragma once
// The chapter list of a video or recording: "0:00 Six that folds back, ...".

#include <string>
#include <vector>

#include "base/result.h"
#include "pack/durations.h"
#include "score/score.h"
#include "sound/jobs.h"

namespace fretloom {

struct ChapterEntry {
  double seconds = 0;  ///< start, from the beginning; finite, at least 0
  std::string title;
};

/// Each section starts where the one before ends.
[[nodiscard]] std::vector<ChapterEntry> section_chapters(const std::vector<Section>& sections);

/// The demos of a handout one behind the other in the order of plan_sound, at the tempos of `choice`, each
/// as long as lay_out makes it with count-in and ring-out. Starts are added up in whole frames. Errors:
/// those of plan_sound.
[[nodiscard]] Result<std::vector<ChapterEntry>> demo_chapters(const Handout& handout, const SoundChoice& choice = {});

/// One line a chapter, "m:ss title", "h:mm:ss title" from an hour on; starts are
/// cut to whole seconds, so that no chapter begins too late. Nothing is demanded of a chapter's length.
/// Errors (range): no chapters; the first not at 0:00; two that start in one second or go back; a title
/// that is empty.
[[nodiscard]] Result<std::string> chapters_text(const std::vector<ChapterEntry>& chapters);

}  // namespace fretloom
