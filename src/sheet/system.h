#pragma once
// Stage 5: one system, notation over tab, drawn in its own space: x = 0 at the line's left edge, y = 0
// on the notation's top staff line.

#include <vector>

#include "sheet/passage.h"
#include "sheet/scene.h"

namespace fretloom::sheet {

/// What to draw. The bars' gaps are the passage's; `force` stretches their springs.
struct SystemInput {
  const PassagePlan* plan = nullptr;
  int passage = 0;  ///< index in the Scene, for NoteRefs
  std::vector<const MeasuredBar*> bars;
  double force = 1;
  bool opens_section = true;  ///< time signature and tuning names
  bool opens_passage = true;
};

struct SystemDrawing {
  std::vector<SceneItem> items;
  Box box;
  double left = 0;                ///< of the staff lines
  std::vector<double> columns;    ///< x of every event, in order
  std::vector<double> bar_edges;  ///< right edge of every bar line
};

/// Room before the first bar: tuning names, clef and signatures.
[[nodiscard]] double prefix_width(const PassageScore& score, bool opens_section, const MusicFont& font,
                                  const SheetOptions& options);

[[nodiscard]] SystemDrawing engrave_system(const SystemInput& input, const MusicFont& font,
                                           const SheetOptions& options);

}  // namespace fretloom::sheet
