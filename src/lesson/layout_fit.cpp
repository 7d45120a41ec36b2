#include "lesson/layout_fit.h"

namespace fretloom {

LayoutRule with_default_notes(const SettingsDraft& draft, LayoutRule rule, bool notes_given) {
  if (!notes_given) rule.notes = draft.key.value.size() == 5 ? 2 : 3;
  return rule;
}

std::optional<Layout> layout_on_neck(const SettingsDraft& draft, const LayoutRule& rule) {
  const Neck neck = draft.neck();
  auto layout = make_layout(draft.key.value, neck, rule);
  if (!layout || off_neck(draft.key.value, neck, *layout)) return std::nullopt;
  return std::move(layout).value();
}

std::string size_text(const LayoutRule& rule) {
  switch (rule.kind) {
    case LayoutKind::per_string: return "notes = " + std::to_string(rule.notes);
    case LayoutKind::position: return "width = " + std::to_string(rule.width);
    case LayoutKind::octaves:
      return "notes = [" + std::to_string(rule.octave_notes.first) + ", " + std::to_string(rule.octave_notes.second) +
             "]";
  }
  return {};
}

}  // namespace fretloom
