#pragma once
// A block: what a page is stacked from. Each kind is made in a file of its own, title_block to footer_block; systems
// in engrave.cpp.

#include <optional>
#include <string>
#include <vector>

#include "sheet/breaking.h"
#include "sheet/options.h"
#include "sheet/scene.h"

namespace fretloom::sheet {

/// Items with their own origin at the block's top left corner.
struct Block {
  std::vector<SceneItem> items;
  double height = 0;
  PageGap gap;  ///< before it
  bool keep_with_next = false;
  double break_cost = 0;  ///< of a page break before it
  bool opens_page = false;
  std::string chapter;  ///< what a running head calls the part that this belongs to
  std::optional<std::string> bookmark;
  std::optional<SceneSystem> system;
};

/// Blocks of words are laid out as if the prose were 2 staff spaces high, in a width divided by this, and enlarged by
/// it: so all words keep their proportions, whatever staff and prose measure.
[[nodiscard]] double text_scale(const SheetOptions& options);
/// The block about its corner, with the gap before it.
[[nodiscard]] Block enlarged(Block block, double scale);

// Gaps of a page, staff spaces. What belongs together opens least.
inline constexpr PageGap k_idea_gap{4.5, 1.5, 8};       ///< before an idea's heading
inline constexpr PageGap k_part_gap{1.6, 0.5, 1.2};     ///< between the parts of an idea: rule, words, loom, proof
inline constexpr PageGap k_feel_gap{3.2, 0.9, 5};       ///< before "4 notes a beat"
inline constexpr PageGap k_passage_gap{1.4, 0.3, 0.6};  ///< between that and its music
inline constexpr PageGap k_system_gap{3.6, 1.4, 4};     ///< between the systems of a passage

// Costs of a page break, in shares of a page squared (breaking.h).
inline constexpr double k_feel_break_cost = 0.04;    ///< an idea would rather keep its feels together
inline constexpr double k_part_break_cost = 0.1;     ///< and its words with the first; a nearly empty page is worse
inline constexpr double k_system_break_cost = 0.08;  ///< a passage would rather stay whole
inline constexpr double k_line_break_cost = 0.02;    ///< of a paragraph

}  // namespace fretloom::sheet
