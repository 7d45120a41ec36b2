#pragma once
// Blocks: what a page is stacked from. Headings and prose are made here; systems by engrave.cpp.

#include <optional>
#include <string>
#include <vector>

#include "score/score.h"
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
  std::optional<std::string> bookmark;
  std::optional<SceneSystem> system;
};

// Gaps of a page, staff spaces. What belongs together opens least.
inline constexpr PageGap k_idea_gap{4.5, 1.5, 6.5};     ///< before an idea's heading
inline constexpr PageGap k_first_gap{4.0, 1.0, 1.5};    ///< the same, below the title
inline constexpr PageGap k_feel_gap{3.2, 0.9, 4.5};     ///< before "4 notes a beat"
inline constexpr PageGap k_passage_gap{1.4, 0.3, 0.6};  ///< between that and its music
inline constexpr PageGap k_system_gap{3.6, 1.4, 3.5};   ///< between the systems of a passage

inline constexpr double k_text_size = 2.0;  ///< em of prose, staff spaces
inline constexpr double k_line_pitch = 2.75;

/// Title, author, key, tuning, intro, links and logo.
[[nodiscard]] Block title_block(const Handout& handout, const SheetOptions& options, double width);
/// "2. Six that folds back" with its rule in words, proof and prose beside the neck diagram; key and tuning
/// where they are not the handout's.
[[nodiscard]] std::vector<Block> idea_blocks(const Handout& handout, const Score& score, int number,
                                             const SheetOptions& options, const MusicFont& font, double width);
/// "4 notes a beat", tempo, swing and vamp rhythm.
[[nodiscard]] Block feel_block(const Score& score, const SheetOptions& options, const MusicFont& font, double width);
[[nodiscard]] Block etude_block(const SheetOptions& options, double width);

/// Licence, cautions and page number at the foot of every page; the same height on all.
[[nodiscard]] Block footer_block(const Handout& handout, int page, int pages, const SheetOptions& options,
                                 double width);

/// "Tuning E2 A2 D3 G3 B3 E4, capo 2".
[[nodiscard]] std::string tuning_words(const Score& score);

}  // namespace fretloom::sheet
