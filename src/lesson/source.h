#pragma once
// Places in a lesson's text: columns count code points, edits need bytes.

#include <optional>
#include <string>
#include <string_view>

#include "lesson/lesson.h"

namespace fretloom {

/// Byte offset of a place in the text; the text's size if it lies behind the end.
[[nodiscard]] std::size_t byte_offset(std::string_view text, const Place& place);

/// The place of a byte of the value at `path`: its start for 0 or where positions inside cannot be
/// told; {1, 1} if the path is unknown. `within` must be the value's text.
[[nodiscard]] Place place_in(const SourceIndex& index, const KeyPath& path, std::string_view within = {},
                             std::size_t at = 0);

/// The characters of a plain one-line string at `path`, without its quotes and as they are written; nothing where none
/// stands there.
[[nodiscard]] std::optional<std::string> string_at(std::string_view text, const SourceIndex& index,
                                                   const KeyPath& path);

/// The first of the paths that the file has, or an empty one.
[[nodiscard]] KeyPath first_known(const SourceIndex& index, std::initializer_list<KeyPath> paths);

/// The place of a finding that a later stage has about `where`: the key itself, else the idea's name, its header or
/// the title; {1, 1} where the text has none.
[[nodiscard]] Place place_near(const SourceIndex& index, const KeyPath& where);

}  // namespace fretloom
