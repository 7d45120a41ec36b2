#pragma once
// A finding's repair put into the file, as a teacher would.

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include "lesson/compile.h"
#include "lesson/edit.h"

namespace fretloom::test {

/// A repair is a value for the key of `where`, or "key = value" for a key beside or inside it.
inline std::vector<std::pair<KeyPath, std::string>> edits_for(const Finding& finding) {
  const auto equals = finding.repair.find(" = ");
  const bool names_key = equals != std::string::npos && finding.repair.find_first_of("\"[{") > equals;
  if (!names_key) return {{finding.where, finding.repair}};
  const std::string key = finding.repair.substr(0, equals);
  const std::string value = finding.repair.substr(equals + 3);
  return {{finding.where.parent() / key, value}, {finding.where / key, value}};
}

/// The lesson with the repair in place of the plain value at the finding's line and column: an item of
/// a list, or a value whose repair uncovers another error, which the in-place edit would refuse.
inline std::string with_item(const std::string& lesson, const Finding& finding) {
  std::size_t at = 0;
  for (std::uint32_t line = 1; line < finding.place.line; ++line) at = lesson.find('\n', at) + 1;
  at += finding.place.column - 1;
  if (finding.code == "unknown-key")
    return lesson.substr(0, at) + finding.repair + lesson.substr(lesson.find_first_of(" =]", at));
  const bool quoted = lesson[at] == '"';
  const std::size_t end = quoted ? lesson.find('"', at + 1) + 1 : lesson.find_first_of(",] }\n", at);
  return lesson.substr(0, at) + finding.repair + lesson.substr(end);
}

/// The lesson with the repair in place, by key path or by place, if that leaves no finding of this level.
inline bool is_legal(const std::string& lesson, const Finding& finding) {
  const auto is_clean = [&](const std::string& text) {
    const auto compiled = compile_lesson(text);
    return compiled.is_readable() && std::none_of(compiled.findings.begin(), compiled.findings.end(),
                                                  [&](const Finding& f) { return f.level == finding.level; });
  };
  for (const auto& [path, value] : edits_for(finding)) {
    const auto mended = set_value(lesson, path, value);
    if (mended && is_clean(*mended)) return true;
  }
  return is_clean(with_item(lesson, finding));
}

}  // namespace fretloom::test
