#pragma once
// The whole way: Handout -> Scene. Standard library only; no file is opened, no clock read.

#include "base/diagnostics.h"
#include "base/result.h"
#include "score/handout.h"
#include "score/sentences.h"
#include "sheet/music_font.h"
#include "sheet/options.h"
#include "sheet/scene.h"

namespace fretloom::sheet {

struct Engraved {
  Scene scene;
  Diagnostics findings;  ///< what was drawn smaller or left out, with where and why
};

/// Engraves every chosen feel of every idea, then all ideas in a row. Sentences are printed as they are, those that are
/// empty or missing left out.
/// Findings, each at its idea's path, the feel named in the message: sheet-idea-empty (an idea without notes is left
/// out), sheet-idea-unwritable (fault_of finds a fault, or time that no value can show: left out), sheet-bar-too-dense
/// (a passage drawn smaller, with its bar and scale; at notes_per_beat).
/// Errors: range = nothing to draw, a staff space outside 0.5 to 6 mm, or paper without room for music; io = the font
/// has no noteheads (repair: the package that does).
[[nodiscard]] Result<Engraved> engrave(const Handout& handout, const LessonSentences& sentences,
                                       const SheetOptions& options, const MusicFont& font);

/// One feel of one idea without any prose, for drawings; `feel` from 0.
[[nodiscard]] Result<Engraved> engrave(const IdeaSheet& idea, int feel, const SheetOptions& options,
                                       const MusicFont& font);

}  // namespace fretloom::sheet
