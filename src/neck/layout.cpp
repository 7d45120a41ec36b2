#include "neck/layout.h"

#include <algorithm>

namespace fretloom {

namespace {

/// `count` scale notes from the first at or above `from`, on the string with this open note.
StringRun run_from(const Key& key, int open_midi, int from, int count) {
  return {key.step_at_or_above(open_midi + from), count};
}

Layout per_string(const Key& key, const Neck& neck, const LayoutRule& rule) {
  Layout layout;
  StringRun run = run_from(key, neck.open_midi(neck.strings()), rule.from, rule.notes);
  for (int string = neck.strings(); string >= 1; --string) {
    layout.strings.push_back(run);
    run.first += run.count;
  }
  return layout;
}

Layout position(const Key& key, const Neck& neck, const LayoutRule& rule) {
  Layout layout;
  for (int string = neck.strings(); string >= 1; --string) {
    const int open = neck.open_midi(string);
    const int first = key.step_at_or_above(open + rule.from);
    layout.strings.push_back({first, key.step_at_or_above(open + rule.from + rule.width) - first});
  }
  return layout;
}

Layout octaves(const Key& key, const Neck& neck, const LayoutRule& rule) {
  Layout layout;
  const StringRun thick = run_from(key, neck.open_midi(neck.strings()), rule.from, rule.octave_notes.first);
  const StringRun thin{thick.first + thick.count, rule.octave_notes.second};
  for (int i = 0; i < neck.strings(); ++i) {
    // "A two-string block repeated an octave up": the frets shift by 12 minus the tuning difference.
    StringRun run = i % 2 == 0 ? thick : thin;
    run.first += i / 2 * key.size();
    layout.strings.push_back(run);
  }
  return layout;
}

}  // namespace

std::string_view name(LayoutKind kind) {
  switch (kind) {
    case LayoutKind::per_string: return "per-string";
    case LayoutKind::position: return "position";
    case LayoutKind::octaves: return "octaves";
  }
  return "per-string";
}

Result<Layout> make_layout(const Key& key, const Neck& neck, const LayoutRule& rule) {
  switch (rule.kind) {
    case LayoutKind::per_string:
      if (!neck.tuning.ascends()) {
        return Error{ErrorKind::range, 0,
                     "a per-string layout needs a tuning that ascends from the thickest string to the thinnest",
                     "position"};
      }
      return per_string(key, neck, rule);
    case LayoutKind::position: return position(key, neck, rule);
    case LayoutKind::octaves: return octaves(key, neck, rule);
  }
  return Error{};
}

int fret_of(const Key& key, const Neck& neck, const Layout& layout, int string, int ordinal, int steps) {
  return key.midi(layout.strings[neck.index(string)].first + ordinal - 1 + steps) - neck.open_midi(string);
}

std::vector<std::vector<int>> layout_frets(const Key& key, const Neck& neck, const Layout& layout) {
  std::vector<std::vector<int>> frets;
  for (int string = neck.strings(); string >= 1; --string) {
    auto& row = frets.emplace_back();
    for (int o = 1; o <= layout.strings[neck.index(string)].count; ++o) {
      row.push_back(fret_of(key, neck, layout, string, o));
    }
  }
  return frets;
}

std::optional<OffNeck> off_neck(const Key& key, const Neck& neck, const Layout& layout) {
  for (int string = neck.strings(); string >= 1; --string) {
    for (int o = 1; o <= layout.strings[neck.index(string)].count; ++o) {
      const int fret = fret_of(key, neck, layout, string, o);
      if (!neck.has_fret(fret)) return OffNeck{string, o, fret};
    }
  }
  return std::nullopt;
}

std::optional<int> nearest_legal_from(const Key& key, const Neck& neck, const LayoutRule& rule) {
  const auto legal = [&](int from) {
    if (from < 0 || from > neck.highest_fret()) return false;
    LayoutRule moved = rule;
    moved.from = from;
    const auto layout = make_layout(key, neck, moved);
    return layout.ok() && !off_neck(key, neck, *layout);
  };
  for (int distance = 0; distance <= neck.highest_fret(); ++distance) {
    if (legal(rule.from - distance)) return rule.from - distance;
    if (legal(rule.from + distance)) return rule.from + distance;
  }
  return std::nullopt;
}

std::vector<LayoutRule> smaller_rules(const LayoutRule& rule) {
  std::vector<LayoutRule> rules;
  LayoutRule smaller = rule;
  switch (rule.kind) {
    case LayoutKind::per_string:
      while (--smaller.notes >= 1) rules.push_back(smaller);
      break;
    case LayoutKind::position:
      while (--smaller.width >= 1) rules.push_back(smaller);
      break;
    case LayoutKind::octaves: {
      const auto [thick, thin] = rule.octave_notes;
      for (int sum = thick + thin - 1; sum >= 2; --sum) {
        for (int first = std::min(thick, sum - 1); first >= std::max(1, sum - thin); --first) {
          smaller.octave_notes = {first, sum - first};
          rules.push_back(smaller);
        }
      }
      break;
    }
  }
  return rules;
}

Reach widest(const Neck& neck, const std::vector<std::vector<int>>& frets) {
  Reach reach;
  for (std::size_t i = 0; i < frets.size(); ++i) {
    if (frets[i].empty()) continue;
    const Millimetres span = neck.span(frets[i].front(), frets[i].back());
    if (i == 0 || span > reach.span) reach = {neck.strings() - static_cast<int>(i), span};
  }
  return reach;
}

std::string frets_text(const std::vector<std::vector<int>>& frets) {
  std::string text;
  for (std::size_t i = 0; i < frets.size(); ++i) {
    if (i > 0) text += " | ";
    for (std::size_t k = 0; k < frets[i].size(); ++k) text += (k > 0 ? " " : "") + std::to_string(frets[i][k]);
  }
  return text;
}

}  // namespace fretloom
