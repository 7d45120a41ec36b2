#pragma once
// Cells on one layout shape.

#include "insight/cycle.h"
#include "insight/layouts.h"
#include "insight/scale_view.h"
#include "insight/shortlist.h"

namespace fretloom {

/// Tells the phrase by the cell that the repetitions of a cycle vote for, on every layout of the shape where that is
/// short enough.
void search_cells(const ScaleView& view, const LayoutShape& shape, const Cycle& cycle, Shortlist& shortlist);

}  // namespace fretloom
