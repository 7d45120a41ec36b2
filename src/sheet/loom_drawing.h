#pragma once
// Draws a loom (loom.h).

#include <vector>

#include "sheet/loom.h"
#include "sheet/options.h"
#include "sheet/scene.h"

namespace fretloom::sheet {

/// Sizes in staff spaces. All of them grow with the digits, which are never smaller than smallest_text(options).
struct LoomSize {
  double digit = 1.55;  ///< em of all text
  double pixel = 0.12;  ///< a thirteenth of it: what the drawings' own measures count
  double least_unit = 3;
  double most_unit = 4.8;
  double names = 3;  ///< room for the strings' names
};
[[nodiscard]] LoomSize loom_size(const IdeaSheet& idea, const SheetOptions& options);

/// The knot of a stroke about its middle, flat above and pointing down for a downstroke, turned round for an upstroke:
/// filled, or an outline that lies inside the filled shape. 19 `pixel` wide, 21 high.
[[nodiscard]] PolygonShape knot_outline(Point middle, Stroke stroke, double pixel, double line = 0);

/// Units that fit beside each other in a width, at least 1.
[[nodiscard]] int loom_units(const LoomSize& size, double width);

/// A lane as a hand finds it. Ordinal o stands at `y` - (o - 1) * `step`, an ordinal of 0 below the first.
struct LaneMeasures {
  int string = 1;
  bool open = true;  ///< there is room for knots
  double y = 0;      ///< of ordinal 1; of the line where it is not open
  double step = 0;   ///< between neighbouring ordinals; 0 where it is not open
  int low = 1;       ///< ordinals that have room
  int high = 1;
};

/// Where a row's units and lanes lie.
struct LoomRowMeasures {
  double left = 0;                  ///< of the first unit
  double unit = 0;                  ///< width of one
  std::vector<LaneMeasures> lanes;  ///< thinnest string first
};

/// One row of a loom with its own origin, its top left corner at 0, 0.
struct LoomRowDrawing {
  std::vector<SceneItem> items;
  double height = 0;
  LoomRowMeasures measures;
};

/// Every row, top down: lanes with the strings' names at the left, thinnest string above; a unit as wide in one row as
/// in another. The notes' items have NoteRef{passage, index into score.notes}. Precondition: the loom is the score's,
/// laid with loom_units or fewer.
[[nodiscard]] std::vector<LoomRowDrawing> draw_loom(const Loom& loom, const IdeaSheet& idea, const Score& score,
                                                    int passage, double width, const SheetOptions& options,
                                                    const MusicFont& font);

}  // namespace fretloom::sheet
