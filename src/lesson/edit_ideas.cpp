#include "lesson/edit_ideas.h"

#include <algorithm>
#include <utility>
#include <vector>

#include "base/text.h"
#include "lesson/edit.h"
#include "lesson/read.h"
#include "lesson/source.h"
#include "lesson/table_reader.h"

namespace fretloom {

namespace {

Error refusal(ErrorKind kind, std::string what) { return {kind, 0, std::move(what), ""}; }

/// The text as it is before the first idea, of each idea with the comments right above it, and behind the last.
struct Parts {
  std::string head;
  std::vector<std::string> ideas;
  std::string tail;

  [[nodiscard]] std::string text() const { return head + join(ideas, "") + tail; }
};

std::size_t line_start(std::string_view text, std::size_t at) {
  const std::size_t newline = at == 0 ? std::string_view::npos : text.rfind('\n', at - 1);
  return newline == std::string_view::npos ? 0 : newline + 1;
}

/// Up over the comment lines right above a line.
std::size_t with_comments(std::string_view text, std::size_t line) {
  while (line > 0) {
    const std::size_t above = line_start(text, line - 1);
    const std::string_view words = trim(text.substr(above, line - above));
    if (words.empty() || words.front() != '#') return line;
    line = above;
  }
  return line;
}

/// The first header behind `from` that belongs to no idea, with its comments; the text's end where there is none.
std::size_t end_of_ideas(std::string_view text, const SourceIndex& index, std::size_t from) {
  std::size_t end = text.size();
  for (const auto& [path, span] : index) {
    const std::size_t begin = byte_offset(text, span.begin);
    if (path.idea == 0 && path.key != "idea" && begin > from)
      end = std::min(end, with_comments(text, line_start(text, begin)));
  }
  return end;
}

Result<Parts> parted(std::string_view text, const LessonReading& reading) {
  Parts parts;
  const SourceIndex& index = reading.lesson->source;
  std::vector<std::size_t> begins;
  for (int number = 1; number <= static_cast<int>(reading.lesson->idea_names.size()); ++number) {
    const std::size_t begin = byte_offset(text, index.at({number, ""}).begin);
    if (text.substr(begin, 2) != "[[")
      return refusal(ErrorKind::range,
                     "the ideas stand in one list here; give each a header [[idea]] of its own first");
    begins.push_back(with_comments(text, line_start(text, begin)));
  }
  if (begins.empty()) {
    parts.head = text;
    return parts;
  }
  parts.head = text.substr(0, begins.front());
  const std::size_t end = end_of_ideas(text, index, begins.back());
  for (std::size_t i = 0; i < begins.size(); ++i) {
    const std::size_t next = i + 1 < begins.size() ? begins[i + 1] : end;
    parts.ideas.emplace_back(text.substr(begins[i], next - begins[i]));
  }
  parts.tail = text.substr(end);
  return parts;
}

/// An idea that was the file's last lines ends where its text does; ideas stand an empty line apart.
void end_with_empty_line(std::string& part) {
  if (part.empty()) return;
  if (part.back() != '\n') part += '\n';
  if (part.size() < 2 || part[part.size() - 2] != '\n') part += '\n';
}

/// An empty line at the end of the file is nobody's.
void end_plainly(std::string& text) {
  while (text.size() >= 2 && text.back() == '\n' && text[text.size() - 2] == '\n') text.pop_back();
}

Result<LessonReading> editable(std::string_view text) {
  LessonReading reading = read_lesson(text);
  if (!reading.lesson)
    return refusal(ErrorKind::syntax, "the lesson cannot be read: " + reading.findings.front().message);
  if (reading.lesson->is_read_only())
    return refusal(ErrorKind::range, "the lesson has a newer format and opens read-only");
  return reading;
}

Result<Parts> editable_parts(std::string_view text) {
  const auto reading = editable(text);
  if (!reading) return reading.error();
  return parted(text, *reading);
}

bool has_idea(const Parts& parts, int number) { return number >= 1 && number <= static_cast<int>(parts.ideas.size()); }

Error no_such_idea(const Parts& parts, int number) {
  return refusal(ErrorKind::range, "there is no idea " + std::to_string(number) + "; the lesson has " +
                                       counted(parts.ideas.size(), "idea"));
}

/// What was made must read as well as what it was made of.
Result<std::string> checked(const LessonReading& before, std::string text) {
  const LessonReading after = read_lesson(text);
  if (!after.lesson) return refusal(ErrorKind::syntax, after.findings.front().message);
  if (const Finding* finding = first_new_error(after.findings, before.findings))
    return Error{ErrorKind::range, 0, finding->message, finding->repair};
  return text;
}

}  // namespace

Result<std::string> with_idea(std::string_view text, std::string_view rule_key, std::string_view rule) {
  const IdeaKey key{std::string(rule_key), toml_string(rule)};
  return with_idea(text, {&key, 1});
}

Result<std::string> with_idea(std::string_view text, std::span<const IdeaKey> keys) {
  const auto reading = editable(text);
  if (!reading) return reading.error();
  auto found = parted(text, *reading);
  if (!found) return found.error();
  Parts parts = std::move(found).value();
  if (parts.ideas.size() >= static_cast<std::size_t>(k_max_ideas))
    return refusal(ErrorKind::limit, "a lesson has at most " + std::to_string(k_max_ideas) + " ideas");
  end_with_empty_line(parts.ideas.empty() ? parts.head : parts.ideas.back());
  std::string idea = "[[idea]]\n";
  for (const IdeaKey& key : keys) idea += key.key + " = " + key.value + "\n";
  if (!parts.tail.empty()) idea += "\n";
  parts.ideas.push_back(std::move(idea));
  return checked(*reading, parts.text());
}

Result<std::string> without_idea(std::string_view text, int number) {
  auto found = editable_parts(text);
  if (!found) return found.error();
  Parts parts = std::move(found).value();
  if (!has_idea(parts, number)) return no_such_idea(parts, number);
  parts.ideas.erase(parts.ideas.begin() + (number - 1));
  std::string left = parts.text();
  end_plainly(left);
  return left;
}

Result<std::string> idea_moved(std::string_view text, int from, int to) {
  auto found = editable_parts(text);
  if (!found) return found.error();
  Parts parts = std::move(found).value();
  for (const int number : {from, to}) {
    if (!has_idea(parts, number)) return no_such_idea(parts, number);
  }
  if (from == to) return std::string(text);
  for (std::string& idea : parts.ideas) end_with_empty_line(idea);
  std::string moved = std::move(parts.ideas[static_cast<std::size_t>(from - 1)]);
  parts.ideas.erase(parts.ideas.begin() + (from - 1));
  parts.ideas.insert(parts.ideas.begin() + (to - 1), std::move(moved));
  std::string whole = parts.text();
  if (parts.tail.empty()) end_plainly(whole);
  return whole;
}

Result<std::string> without_value(std::string_view text, const KeyPath& path) {
  const auto reading = editable(text);
  if (!reading) return reading.error();
  const SourceIndex& index = reading->lesson->source;
  const auto found = index.find(path);
  if (found == index.end()) return std::string(text);
  std::string edited(text);
  std::size_t end = byte_offset(text, found->second.end);
  std::size_t begin = byte_offset(text, found->second.begin);
  if (begin < text.size() && text[begin] == '[' && (begin == 0 || text[begin - 1] == '\n'))
    return refusal(ErrorKind::range,
                   path.text() + " is a table with a header of its own; take its keys out one by one");
  const auto table = index.find(path.parent());
  const bool is_inline = table != index.end() && text.substr(byte_offset(text, table->second.begin), 1) == "{";
  begin = text.rfind('=', begin == 0 ? 0 : begin - 1);
  if (begin == std::string_view::npos) return refusal(ErrorKind::syntax, path.text() + " cannot be taken out");
  if (is_inline) {
    // The key goes with the comma before it, the first one with the comma behind it.
    const std::size_t before = text.find_last_of(",{", begin);
    if (text[before] == ',') {
      begin = before;
    } else {
      begin = before + 1;
      const std::size_t behind = text.find_first_not_of(" \t", end);
      if (behind != std::string_view::npos && text[behind] == ',') end = behind + 1;
    }
  } else {
    begin = line_start(text, begin);
    const std::size_t newline = text.find('\n', end);
    end = newline == std::string_view::npos ? text.size() : newline + 1;
  }
  return checked(*reading, edited.erase(begin, end - begin));
}

}  // namespace fretloom
