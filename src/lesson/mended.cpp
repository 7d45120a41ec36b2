#include "lesson/mended.h"

#include <algorithm>
#include <optional>
#include <utility>
#include <vector>

#include "lesson/compile.h"
#include "lesson/edit.h"
#include "lesson/source.h"
#include "lesson/table_reader.h"
#include "lesson/toml.h"

namespace fretloom {

std::vector<Assignment> assignments(std::string_view repair) {
  const std::string text = "x = { " + std::string(repair) + " }";
  const toml::parse_result parsed = toml::parse(std::string_view(text));
  std::vector<Assignment> found;
  if (!parsed) return found;
  const toml::table* table = parsed.table()["x"].as_table();
  if (table == nullptr) return found;
  for (const auto& [key, node] : *table) {
    const std::size_t begin = byte_offset(text, to_place(node.source().begin));
    const std::size_t end = byte_offset(text, to_place(node.source().end));
    found.push_back({std::string(key.str()), text.substr(begin, end - begin)});
  }
  return found;
}

namespace {

bool has_finding(const std::string& text, const Finding& finding) {
  const CompiledLesson compiled = compile_lesson(text);
  return !compiled.is_readable() ||
         std::any_of(compiled.findings.begin(), compiled.findings.end(), [&](const Finding& other) {
           return other.code == finding.code && other.where == finding.where && other.message == finding.message;
         });
}

/// Every assignment made in the table, or nothing.
std::optional<std::string> with_keys(std::string_view text, const KeyPath& table, const std::vector<Assignment>& all) {
  std::string edited(text);
  for (const Assignment& one : all) {
    auto next = set_value(edited, table / one.key, one.value);
    if (!next) return std::nullopt;
    edited = std::move(next).value();
  }
  return edited;
}

/// The repair in place of the plain value, or of the unknown key's name, at the finding's line and column: for an item
/// of a list, and for a value whose repair uncovers another error, which an edit would refuse.
std::string with_item(std::string_view text, const Finding& finding) {
  const std::size_t at = byte_offset(text, finding.place);
  if (at >= text.size()) return std::string(text);
  const bool quoted = text[at] == '"' && finding.code != "unknown-key";
  const std::string_view behind = finding.code == "unknown-key" ? " =]" : ",] }\n";
  std::size_t end = quoted ? text.find('"', at + 1) : text.find_first_of(behind, at);
  end = end == std::string_view::npos ? text.size() : end + (quoted ? 1 : 0);
  return std::string(text.substr(0, at)) + finding.repair + std::string(text.substr(end));
}

}  // namespace

Result<std::string> mended(std::string_view text, const Finding& finding) {
  if (finding.repair.empty()) return Error{ErrorKind::range, 0, "there is no repair for this", ""};
  std::vector<std::optional<std::string>> tries;
  if (const auto all = assignments(finding.repair); !all.empty()) {
    tries.push_back(with_keys(text, finding.where.parent(), all));
    tries.push_back(with_keys(text, finding.where, all));
  } else if (auto edited = set_value(text, finding.where, finding.repair)) {
    tries.emplace_back(std::move(edited).value());
  }
  tries.emplace_back(with_item(text, finding));
  for (auto& each : tries) {
    if (each && !has_finding(*each, finding)) return std::move(*each);
  }
  return Error{ErrorKind::range, 0, "the repair " + finding.repair + " does not mend this by itself", finding.repair};
}

}  // namespace fretloom
