#pragma once
// The teacher's own sections of a video or recording and how long each lasts: a text file, one section a
// line, duration and title.
//
//   # Filmed on Tuesday
//   0:30 Hello
//   2:10 The rule on one string
//
// Empty lines and lines that begin with # say nothing. A duration is m:ss, h:mm:ss or seconds, with
// decimals where wanted ("75.5"); minutes (behind hours) and seconds behind a colon have two digits and are
// below 60.

#include <string>
#include <string_view>
#include <vector>

#include "base/diagnostics.h"

namespace fretloom {

struct Section {
  double seconds = 0;  ///< how long it lasts, 1 to 86,400
  std::string title;   ///< one line, not empty
};

struct Durations {
  std::vector<Section> sections;
  std::vector<Finding> findings;  ///< errors, each with line and column; then `sections` holds the good lines
};

/// Errors: duration-syntax, duration-range (one second to 24 hours, all together too), duration-title (a
/// section without one), duration-none (no section in the whole text).
[[nodiscard]] Durations read_durations(std::string_view text);

constexpr std::size_t k_max_durations_bytes = std::size_t{64} << 10U;

}  // namespace fretloom
