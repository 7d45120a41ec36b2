#pragma once
// Prose that a page may break: a block a line where the paragraph is long.

#include <string>
#include <vector>

#include "sheet/block.h"
#include "sheet/text_setter.h"

namespace fretloom::sheet {

struct Paragraph {
  TextKind kind;
  std::string text;  ///< line breaks part paragraphs, a blank line leaves white
};

inline constexpr std::size_t k_whole_prose = 12;  ///< lines that stay together

/// The paragraphs one below the other, `indent` from the left, at text_scale 1: in one block, or, of more than
/// k_whole_prose lines, in a first block of at least `least_height`, so that something may stand beside it, and one for
/// each place where a page may break. No break leaves one line of a paragraph alone. Empty for no words.
[[nodiscard]] std::vector<Block> prose_blocks(const std::vector<Paragraph>& paragraphs, double indent, double width,
                                              double least_height, const SheetOptions& options);

}  // namespace fretloom::sheet
