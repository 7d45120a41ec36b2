#pragma once
// Layout and vamp from the musical settings.

#include <string>

#include "base/diagnostics.h"
#include "lesson/lesson.h"

namespace fretloom {

/// What the keys of a table touch: what an idea leaves alone it inherits, findings and all.
struct Given {
  bool frets = false;  ///< the layout's notes: key, tuning, frets, capo, layout
  bool spans = false;  ///< only how far the hand reaches over them: scale_length, reach
  bool vamp = false;   ///< key, meter, vamp
};
constexpr Given k_given_all{true, true, true};

/// Makes layout and vamp from the settings, as far as `given` touches them. `path` is "" or "idea[2]".
/// Findings: a layout off the neck, a string that needs more reach than the hand has, a vamp that does
/// not fit its bars.
void resolve(Settings& settings, const Given& given, const std::string& path, const SourceIndex& index,
             Diagnostics& findings);

}  // namespace fretloom
