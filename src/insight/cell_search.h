#pragma once
// Cells on one layout shape.

#include "insight/cycle.h"
#include "insight/layouts.h"
#include "insight/scale_view.h"
#include "insight/shortlist.h"

namespace fretloom {

/// Tells the phrase by the cell that the repetitions of a cycle vote for, on every layout of the shape where that is
/// short enough. False where no shape can do better whose strings begin as far above each other.
bool search_cells(const ScaleView& view, const LayoutShape& shape, const Cycle& cycle, Shortlist& shortlist);

}  // namespace fretloom
