#pragma once
// A block: what a page is stacked from. Headings and prose are made in title_block, idea_block, feel_block and
// footer_block; systems in engrave.cpp.

#include <optional>
#include <string>
#include <vector>

#include "sheet/breaking.h"
#include "sheet/scene.h"

namespace fretloom::sheet {

/// Items with their own origin at the block's top left corner.
struct Block {
  std::vector<SceneItem> items;
  double height = 0;
  PageGap gap;  ///< before it
  bool keep_with_next = false;
  double break_cost = 0;  ///< of a page break before it
  std::optional<std::string> bookmark;
  std::optional<SceneSystem> system;
};

// Gaps of a page, staff spaces. What belongs together opens least.
inline constexpr PageGap k_idea_gap{4.5, 1.5, 6.5};     ///< before an idea's heading
inline constexpr PageGap k_first_gap{4.0, 1.0, 1.5};    ///< the same, below the title
inline constexpr PageGap k_feel_gap{3.2, 0.9, 4.5};     ///< before "4 notes a beat"
inline constexpr PageGap k_passage_gap{1.4, 0.3, 0.6};  ///< between that and its music
inline constexpr PageGap k_system_gap{3.6, 1.4, 3.5};   ///< between the systems of a passage

// Costs of a page break, in shares of a page squared (breaking.h).
inline constexpr double k_feel_break_cost = 0.04;    ///< an idea would rather keep its feels together
inline constexpr double k_first_break_cost = 0.2;    ///< and its text with the first; a nearly empty page is worse
inline constexpr double k_system_break_cost = 0.08;  ///< a passage would rather stay whole

}  // namespace fretloom::sheet
