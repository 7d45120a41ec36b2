#include "lesson/edit.h"

#include <algorithm>

#include "base/text.h"
#include "lesson/read.h"
#include "lesson/source.h"
#include "lesson/table_reader.h"

namespace fretloom {

namespace {

Error refusal(ErrorKind kind, std::string what) { return {kind, 0, std::move(what), ""}; }

/// A value is one if it reads as such behind a key, with nothing around it and no comment.
bool is_single_value(std::string_view value) {
  if (value.find('\0') != std::string_view::npos) return false;
  const std::string line = "value = " + std::string(value) + "\n";
  const toml::parse_result parsed = toml::parse(line);
  if (!parsed || parsed.table().size() != 1) return false;
  const toml::node* node = parsed.table().get("value");
  if (node == nullptr) return false;
  const std::size_t end = byte_offset(line, to_place(node->source().end));
  return trim(std::string_view(line).substr(end)).empty() && trim(value) == value;
}

bool is_bare_key(std::string_view key) {
  return !key.empty() && std::all_of(key.begin(), key.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '-';
  });
}

/// End of the last value that stands directly in the table, or of its header; deeper tables come later
/// in the file and are left where they are.
std::size_t end_of_table(std::string_view text, const SourceIndex& index, const KeyPath& table) {
  std::size_t end = table == KeyPath{} ? 0 : byte_offset(text, index.at(table).end);
  for (const auto& [path, span] : index) {
    if (path.key.empty() || path.parent() != table || path.key.back() == ']') continue;
    const std::size_t begin = byte_offset(text, span.begin);
    const bool own_header = begin < text.size() && text[begin] == '[' && (begin == 0 || text[begin - 1] == '\n');
    if (!own_header) end = std::max(end, byte_offset(text, span.end));
  }
  return end;
}

/// `key = value` on a line of its own behind the table's last value.
std::string added(std::string_view text, const SourceIndex& index, const KeyPath& table, const std::string& key,
                  std::string_view value) {
  std::string edited(text);
  const std::size_t last = end_of_table(text, index, table);
  const std::string line = key + " = " + std::string(value) + "\n";
  if (last == 0) return line + edited;
  const std::size_t newline = text.find('\n', last);
  if (newline == std::string_view::npos) return edited + "\n" + line;
  return edited.insert(newline + 1, line);
}

/// An inline table takes the key before its closing brace.
std::string added_inline(std::string_view text, const SourceSpan& span, const std::string& key,
                         std::string_view value) {
  std::string edited(text);
  std::size_t close = byte_offset(text, span.end) - 1;
  std::size_t at = close;
  while (at > 0 && (text[at - 1] == ' ' || text[at - 1] == '\t')) --at;
  const bool empty = at > 0 && text[at - 1] == '{';
  return edited.insert(at, (empty ? " " : ", ") + key + " = " + std::string(value) + (at == close ? " " : ""));
}

Result<std::string> replace_or_add(std::string_view text, const SourceIndex& index, const KeyPath& path,
                                   std::string_view value) {
  if (const auto found = index.find(path); found != index.end()) {
    std::string edited(text);
    const std::size_t begin = byte_offset(text, found->second.begin);
    const std::size_t end = byte_offset(text, found->second.end);
    if (text.substr(begin, 1) == "[" && (begin == 0 || text[begin - 1] == '\n')) {
      return refusal(ErrorKind::syntax, path.text() + " is a table with a header of its own; set its keys one by one");
    }
    return edited.replace(begin, end - begin, value);
  }
  const KeyPath table = path.parent();
  const std::string key(path.last());
  if (!is_bare_key(key)) return refusal(ErrorKind::syntax, "\"" + key + "\" is not a key");
  if (table == KeyPath{}) return added(text, index, table, key, value);
  const auto span = index.find(table);
  if (span != index.end()) {
    const bool is_inline = text.substr(byte_offset(text, span->second.begin), 1) == "{";
    return is_inline ? added_inline(text, span->second, key, value) : added(text, index, table, key, value);
  }
  // A table that is not there yet: a dotted key in the table above it.
  const KeyPath outer = table.parent();
  const std::string name(table.last());
  if (!is_bare_key(name) || (outer != KeyPath{} && !index.contains(outer)))
    return refusal(ErrorKind::syntax, "the lesson has no " + table.text());
  return added(text, index, outer, name + "." + key, value);
}

}  // namespace

Result<std::string> set_value(std::string_view text, const KeyPath& path, std::string_view value) {
  const LessonReading before = read_lesson(text);
  if (!before.lesson)
    return refusal(ErrorKind::syntax, "the lesson cannot be read: " + before.findings.front().message);
  if (before.lesson->is_read_only())
    return refusal(ErrorKind::range, "the lesson has a newer format and opens read-only");
  if (!is_single_value(value)) return refusal(ErrorKind::syntax, "\"" + std::string(value) + "\" is not a TOML value");
  auto edited = replace_or_add(text, before.lesson->source, path, value);
  if (!edited) return edited;
  const LessonReading after = read_lesson(*edited);
  if (!after.lesson) return refusal(ErrorKind::syntax, after.findings.front().message);
  if (const Finding* finding = first_new_error(after.findings, before.findings))
    return Error{ErrorKind::range, 0, finding->message, finding->repair};
  return edited;
}

const Finding* first_new_error(const std::vector<Finding>& now, const std::vector<Finding>& before) {
  const auto is_new = [&](const Finding& finding) {
    return finding.level == Level::error && std::none_of(before.begin(), before.end(), [&](const Finding& f) {
             return f.code == finding.code && f.where == finding.where && f.message == finding.message;
           });
  };
  const auto found = std::find_if(now.begin(), now.end(), is_new);
  return found == now.end() ? nullptr : &*found;
}

}  // namespace fretloom
