#pragma once
// The musical keys of the top level or of an idea.

#include "lesson/lesson.h"
#include "lesson/table_reader.h"

namespace fretloom {

/// What the keys of a table touch: what an idea leaves alone it inherits, findings and all.
struct Given {
  bool frets = false;  ///< the layout's notes: key, tuning, frets, capo, layout
  bool spans = false;  ///< only how far the hand reaches over them: scale_length, reach
  bool vamp = false;   ///< key, meter, vamp
};
constexpr Given k_given_all{true, true, true};

/// Reads the musical keys that stand in the table over `settings` (an idea starts from the lesson's; of
/// tonic and scale it may give one alone). A value in error keeps what was there and is entered in
/// settings.broken.
Given read_settings(TableReader& table, Settings& settings, Diagnostics& findings, Level unknown_key_level);

/// Makes layout and vamp from the settings, as far as `given` touches them. `path` is "" or "idea[2]".
/// Findings: a layout off the neck, a string that needs more reach than the hand has, a vamp that does
/// not fit its bars.
void resolve(Settings& settings, const Given& given, const std::string& path, const SourceIndex& index,
             Diagnostics& findings);

}  // namespace fretloom
