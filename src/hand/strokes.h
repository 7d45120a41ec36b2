#pragma once
// The picking hand: strokes, visits to strings and the changes between them.

#include <optional>
#include <string_view>
#include <vector>

#include "lick/expand.h"
#include "score/proof.h"

namespace fretloom {

using Strokes = std::vector<std::optional<Stroke>>;

/// One entry a note; nothing on slurred notes.
[[nodiscard]] Strokes assign_strokes(const std::vector<LickNote>& notes, Picking picking, Stroke first);

/// The stroke of a picked note behind `before`, whose last stroke is `last`; both nothing for the first.
[[nodiscard]] Stroke next_stroke(const LickNote* before, std::optional<Stroke> last, const LickNote& note,
                                 Picking picking, Stroke first);

[[nodiscard]] std::vector<Visit> visits(const std::vector<LickNote>& notes);

[[nodiscard]] ChangeType change_type(int from, int to, Stroke last, Stroke first);
[[nodiscard]] std::vector<Change> changes(const std::vector<LickNote>& notes, const Strokes& strokes, Clear clear);

}  // namespace fretloom
