#pragma once
// A finding's repair put into the file.

#include <string>
#include <string_view>
#include <vector>

#include "base/diagnostics.h"
#include "base/result.h"

namespace fretloom {

/// A key that a repair sets, with its new value in TOML.
struct Assignment {
  std::string key;
  std::string value;
};

/// The keys and values of `first_stroke = "up", cell = "1 h2"`; nothing where the repair is a value alone.
[[nodiscard]] std::vector<Assignment> assignments(std::string_view repair);

/// The text with the repair of one of its findings in place; what does not belong to it keeps its characters. A repair
/// is a value for the key of `where`, or `key = value, ...` for keys beside or inside it, or stands for what is at the
/// finding's place: an item of a list, an unknown key's name. Errors (range): the finding has no repair, or the finding
/// would still be there.
[[nodiscard]] Result<std::string> mended(std::string_view text, const Finding& finding);

}  // namespace fretloom
