#pragma once
// Editing a lesson's text in place: only the characters of the value change; comments, order and
// spacing survive.

#include <string>
#include <string_view>
#include <vector>

#include "base/diagnostics.h"
#include "base/result.h"

namespace fretloom {

/// The text with the value at `path` replaced by `value`, a TOML value
/// as text (see toml_string). A key that is not there yet is added at the end of its table. Errors:
/// the text is no lesson, it has a newer format (read-only), the path names no table of the file,
/// `value` is no single TOML value, or the lesson would read with an error that it does not have now;
/// the caller's text is untouched in every case.
[[nodiscard]] Result<std::string> set_value(std::string_view text, const KeyPath& path, std::string_view value);

/// The first error of a lesson that it did not have before; nullptr where there is none. Places may differ.
[[nodiscard]] const Finding* first_new_error(const std::vector<Finding>& now, const std::vector<Finding>& before);

}  // namespace fretloom
