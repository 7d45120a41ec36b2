#pragma once
// The chapter list of a video or recording: "0:00 Six that folds back, ...".

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "base/result.h"
#include "score/handout.h"
#include "words/durations.h"

namespace fretloom {

struct ChapterEntry {
  double seconds = 0;  ///< start, from the beginning; finite, at least 0
  std::string title;
};

/// Shorter chapters cannot be found on a phone's time line, and sites for videos take none; common practice, from
/// memory, no source. Neighbours that are shorter become one.
constexpr double k_least_chapter_seconds = 10;

/// Each section starts where the one before ends. Neighbours become one chapter, titled "Hello, The rule", until it
/// lasts k_least_chapter_seconds as it is written, in whole seconds; what is left over at the end goes to the last one.
[[nodiscard]] std::vector<ChapterEntry> section_chapters(const std::vector<Section>& sections);

/// A demo as the caller laid it out, count-in and ring-out included.
struct DemoLength {
  FeelRef of;
  Rational bpm{120};
  std::int64_t frames = 0;  ///< how long it lasts, at `rate` frames a second
};

/// The demos one behind the other in the order given, titled "Six that folds back, 4 notes a beat, 60 beats a minute";
/// where short ones become one, "Six that folds back, 4 notes a beat, 60 and 120 beats a minute, then 6 notes a beat,
/// ... a minute; Fours on one string, ...". Starts are added up in whole frames; `rate` is frames a second, > 0.
[[nodiscard]] std::vector<ChapterEntry> demo_chapters(std::span<const DemoLength> demos, int rate);

/// One line a chapter, "m:ss title", "h:mm:ss title" from an hour on; starts are
/// cut to whole seconds, so that no chapter begins too late. No length is demanded of a chapter: section_chapters and
/// demo_chapters see to that. Errors (range): no chapters; the first not at 0:00; two that start in one second or go
/// back; a title that is empty.
[[nodiscard]] Result<std::string> chapters_text(const std::vector<ChapterEntry>& chapters);

}  // namespace fretloom
