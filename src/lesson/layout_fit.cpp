#include "lesson/layout_fit.h"

namespace fretloom {

LayoutRule with_default_notes(const Settings& settings, LayoutRule rule, bool notes_given) {
  if (!notes_given) rule.notes = settings.key.size() == 5 ? 2 : 3;
  return rule;
}

std::optional<Layout> layout_on_neck(const Settings& settings, const LayoutRule& rule) {
  const Neck neck = settings.neck();
  auto layout = make_layout(settings.key, neck, rule);
  if (!layout || off_neck(settings.key, neck, *layout)) return std::nullopt;
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
