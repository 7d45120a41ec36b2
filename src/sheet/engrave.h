#pragma once
// The whole way: Handout -> Scene. Standard library only; no file is opened, no clock read.

#include "base/diagnostics.h"
#include "base/result.h"
#include "score/score.h"
#include "sheet/music_font.h"
#include "sheet/options.h"
#include "sheet/scene.h"

namespace fretloom::sheet {

struct Engraved {
  Scene scene;
  Diagnostics findings;  ///< what was drawn smaller or left out, with where and why
};

/// Engraves every chosen feel of every idea, then all ideas in a row.
/// Findings, each with its idea's path as `where`, ideas of the handout from 1: sheet-idea-empty (an idea without notes
/// is left out), sheet-idea-unwritable (time that no value can show, a note on a string the instrument lacks: left
/// out), sheet-bar-too-dense (a line drawn smaller, with its bar and scale; at "idea[N].notes_per_beat").
/// Errors: range = nothing to draw, a staff space outside 0.5 to 6 mm, paper without room for music,
/// or more than k_max_strings strings everywhere; io = the font has no noteheads (repair: the package that does).
[[nodiscard]] Result<Engraved> engrave(const Handout& handout, const SheetOptions& options, const MusicFont& font);

/// One Score alone, as a handout of one idea.
[[nodiscard]] Result<Engraved> engrave(const Score& score, const SheetOptions& options, const MusicFont& font);

}  // namespace fretloom::sheet
