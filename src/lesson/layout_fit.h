#pragma once
// Which layouts fit on the instrument.

#include <optional>
#include <string>

#include "lesson/settings.h"

namespace fretloom {

/// The layout's rule as it holds for the key: without a count a five-note scale has two notes a string.
[[nodiscard]] LayoutRule with_default_notes(const SettingsDraft& draft, LayoutRule rule, bool notes_given);
/// The rule's layout, if its every note lies on the neck.
[[nodiscard]] std::optional<Layout> layout_on_neck(const SettingsDraft& draft, const LayoutRule& rule);
/// How many notes a layout has, as a key and its value: "notes = 2", "width = 4", "notes = [3, 3]".
[[nodiscard]] std::string size_text(const LayoutRule& rule);

}  // namespace fretloom
