#pragma once
// What a hand can aim at in a drawing, for replies: lanes, bands and notes of a loom, frets of a neck. Lengths as in
// drawing.h.

#include "engine/drawing.h"
#include "lesson/lesson.h"

namespace fretloom::engine {

/// {unit, rows: [{x, units, lanes, bands, beats}], rule: [...], tokens: [...]} of a drawing of draw_loom.
[[nodiscard]] Json loom_hands_json(const ChosenFeel& feel, const Idea& idea, const Drawing& drawing);
/// The same of a drawing of draw_blank_loom: no rule and no tokens.
[[nodiscard]] Json blank_hands_json(const ChosenFeel& feel, const Drawing& drawing);
/// {rows: [{frets}], mirrored} of a drawing of draw_neck.
[[nodiscard]] Json neck_hands_json(const Drawing& drawing, Hand hand);

}  // namespace fretloom::engine
