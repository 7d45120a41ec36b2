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

/// Makes layout and vamp from the draft, as far as `given` touches them. `table` is the lesson's or an idea's.
/// Findings: a layout off the neck, a string that needs more reach than the hand has, a vamp that does
/// not fit its bars.
void resolve(SettingsDraft& draft, const Given& given, const KeyPath& table, const SourceIndex& index,
             Diagnostics& findings);

}  // namespace fretloom
