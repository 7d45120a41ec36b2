#pragma once
// Places in a lesson's text: columns count code points, edits need bytes.

#include <string_view>
#include <vector>

#include "lesson/lesson.h"

namespace fretloom {

/// Byte offset of a place in the text; the text's size if it lies behind the end.
[[nodiscard]] std::size_t byte_offset(std::string_view text, const Place& place);

/// The place of a byte of the value at `path`: its start for 0 or where positions inside cannot be
/// told; {1, 1} if the path is unknown. `within` must be the value's text.
[[nodiscard]] Place place_in(const SourceIndex& index, const std::string& path, std::string_view within = {},
                             std::size_t at = 0);

/// The first of the paths that the file has, or an empty string.
[[nodiscard]] std::string first_known(const SourceIndex& index, std::initializer_list<std::string> paths);

/// Puts the finding of a stage that reads a handout at its place in the lesson's text. Its `where` counts the ideas
/// that the handout holds ("idea[2].name"); `kept` are their indices in the lesson, which has those in error as well.
/// Without a better place it is the idea's name, its header or the title; {1, 1} where the text has none.
void place_finding(const SourceIndex& index, const std::vector<std::size_t>& kept, Finding& finding);

}  // namespace fretloom
