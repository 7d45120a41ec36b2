#include "lesson/read.h"

#include <algorithm>

#include "base/text.h"
#include "lesson/read_idea.h"
#include "lesson/read_settings.h"
#include "lesson/source.h"
#include "lesson/table_reader.h"

namespace fretloom {

namespace {

constexpr int k_max_depth = 64;

Finding unreadable(std::string code, Place place, std::string message, std::string repair = "") {
  return {Level::error, std::move(code), {}, place, std::move(message), std::move(repair)};
}

/// Enters every value's place under its key path.
class Indexer {
 public:
  Indexer(std::string_view text, SourceIndex& index) : text_(text), index_(index) {}

  void add_table(const toml::table& table, const KeyPath& path) {
    for (const auto& [key, value] : table) {
      const KeyPath child = path / key.str();
      add(value, child);
      const auto* ideas = child == KeyPath{0, "idea"} ? value.as_array() : nullptr;
      for (std::size_t i = 0; ideas != nullptr && i < ideas->size(); ++i)
        add(*ideas->get(i), {static_cast<int>(i) + 1, ""});
    }
  }

 private:
  void add(const toml::node& node, const KeyPath& path) {
    SourceSpan span{to_place(node.source().begin), to_place(node.source().end), 0};
    if (node.is_string()) span.text_offset = plain_string_offset(span);
    index_[path] = span;
    if (const auto* table = node.as_table()) add_table(*table, path);
    const auto* array = path == KeyPath{0, "idea"} ? nullptr : node.as_array();
    for (std::size_t i = 0; array != nullptr && i < array->size(); ++i)
      add(*array->get(i), {path.idea, path.key + "[" + std::to_string(i + 1) + "]"});
  }

  /// 1 for a one-line string without escapes, so that positions inside it can be told.
  [[nodiscard]] std::uint32_t plain_string_offset(const SourceSpan& span) const {
    const std::size_t begin = byte_offset(text_, span.begin);
    const std::size_t end = byte_offset(text_, span.end);
    const std::string_view raw = text_.substr(begin, end - begin);
    const bool triple = raw.substr(0, 3) == "\"\"\"" || raw.substr(0, 3) == "'''";
    return triple || raw.find('\\') != std::string_view::npos ? 0 : 1;
  }

  std::string_view text_;
  SourceIndex& index_;
};

/// Depth of brackets and dots is bounded before the parser recurses.
bool is_too_deep(std::string_view text) {
  int depth = 0;
  for (const std::string_view line : split(text, '\n')) {
    int dots = 0;
    for (const char c : line) {
      if (c == '[' || c == '{') ++depth;
      if (c == ']' || c == '}') depth = std::max(0, depth - 1);
      if (c == '.') ++dots;
      if (c == '#' || c == '"' || c == '\'') break;  // a quoted key is no lesson key
      if (depth > k_max_depth || dots > k_max_depth) return true;
    }
  }
  return false;
}

/// The place of a byte, for files that never reach the parser.
Place place_of(std::string_view text, std::size_t at) {
  const std::string_view before = text.substr(0, at);
  const auto line = static_cast<std::uint32_t>(std::count(before.begin(), before.end(), '\n'));
  const std::size_t start = before.rfind('\n') == std::string_view::npos ? 0 : before.rfind('\n') + 1;
  return {line + 1, static_cast<std::uint32_t>(count_code_points(before.substr(start))) + 1};
}

std::optional<Finding> refuse(std::string_view text) {
  if (text.size() > k_max_lesson_bytes) {
    return unreadable("too-large", {1, 1},
                      "the file is too large; a lesson has at most " + byte_text(k_max_lesson_bytes));
  }
  if (const std::size_t nul = text.find('\0'); nul != std::string_view::npos) {
    return unreadable("binary", place_of(text, nul),
                      "the file holds binary data; a lesson is plain text (TOML in UTF-8)");
  }
  if (const std::size_t good = utf8_prefix(text); good < text.size()) {
    return unreadable("not-utf8", place_of(text, good), "the file is not UTF-8 text; save it as UTF-8");
  }
  if (is_too_deep(text))
    return unreadable("too-deep", {1, 1},
                      "the file nests more than " + std::to_string(k_max_depth) + " levels; a lesson needs 4");
  return std::nullopt;
}

class LessonReader {
 public:
  LessonReader(const toml::table& root, std::string_view text) : root_(root) {
    Indexer(text, lesson_.source).add_table(root, {});
  }

  LessonReading read() {
    const int format = read_format();
    const Level unknown_key_level = format > k_format ? Level::warning : Level::error;
    TableReader table(root_, {}, findings_, unknown_key_level);
    (void)table.find("format");
    prose(table);
    settings(table, unknown_key_level);
    ideas(table, unknown_key_level);
    table.report_unknown_keys();
    std::vector<Finding> findings = findings_.findings();
    return {std::move(lesson_), std::move(findings)};
  }

 private:
  void prose(TableReader& table) {
    Prose& prose = lesson_.prose;
    const auto title = table.string("title");
    prose.title = title.value_or("");
    lesson_.has_title = title.has_value();
    if (!table.has("title"))
      table.missing("title", "a lesson needs a title; this one has none", "title = \"Untitled\"");
    const auto read = [&](std::string_view key, std::string& target) { target = table.string(key).value_or(""); };
    read("author", prose.author);
    read("intro", prose.intro);
    prose.links = table.strings("links", in_quotes, listed(table.find("links"))).value_or(std::vector<std::string>{});
    read("licence", prose.licence);
    read("copyright", prose.copyright);
    read("version", prose.version);
    read("logo", prose.logo);
    read("id", prose.id);
  }

  int read_format() {
    const toml::node* node = root_.get("format");
    if (node == nullptr) return k_format;
    const Place place = to_place(node->source().begin);
    const auto* number = node->as_integer();
    if (number == nullptr || number->get() < 1) {
      findings_.add({Level::error,
                     "bad-format",
                     {0, "format"},
                     place,
                     "format must be a whole number from 1 to " + std::to_string(k_format),
                     std::to_string(k_format)});
      return k_format;
    }
    if (number->get() > k_format) {
      findings_.add({Level::warning,
                     "newer-format",
                     {0, "format"},
                     place,
                     "the lesson is written in format " + std::to_string(number->get()) +
                         ", but this program knows formats up to " + std::to_string(k_format) +
                         "; the lesson opens read-only",
                     ""});
      lesson_.format = static_cast<int>(std::min<std::int64_t>(number->get(), 1 << 30));
    }
    return lesson_.format;
  }

  /// The one text or number that stands where a list should, as that list.
  static std::string listed(const toml::node* node) {
    if (node == nullptr) return {};
    if (const auto* text = node->as_string()) return "[" + toml_string(text->get()) + "]";
    const auto* whole = node->as_integer();
    return whole == nullptr ? std::string() : "[" + toml_string(std::to_string(whole->get())) + "]";
  }

  void settings(TableReader& table, Level unknown_key_level) {
    SettingsDraft& settings = lesson_.settings;
    settings.tuning.value = parse_tuning("standard").value();
    (void)read_settings(table, settings, findings_, unknown_key_level);
    if (!table.has("key") && !table.has("tonic") && !table.has("scale")) {
      table.missing("key", "a lesson needs a key; write a note name and a mode, or tonic and scale",
                    "key = \"C ionian\"");
      settings.key.sound = false;
    }
    resolve(settings, k_given_all, {}, lesson_.source, findings_);
  }

  void ideas(TableReader& table, Level unknown_key_level) {
    const toml::node* node = table.find("idea");
    const toml::array* list = node != nullptr ? node->as_array() : nullptr;
    if (node != nullptr && (list == nullptr || !list->is_array_of_tables())) {
      if (list == nullptr || !list->empty())
        table.wrong_type("idea", *node, "a list of tables, each under [[idea]]", "[[idea]]");
      return;
    }
    if (list == nullptr || list->empty()) {
      findings_.add({Level::warning, "no-idea", {}, {1, 1}, "the lesson has no idea yet", "[[idea]]"});
      return;
    }
    if (list->size() > k_max_ideas) {
      table.error(
          "idea", "out-of-range",
          "the lesson has " + counted(list->size(), "idea") + "; it can have at most " + std::to_string(k_max_ideas),
          "");
      return;
    }
    for (const toml::node& idea : *list)
      lesson_.idea_names.push_back(one_line(idea.as_table()->get("name") != nullptr
                                                ? idea.as_table()->get("name")->value<std::string>().value_or("")
                                                : ""));
    for (std::size_t i = 0; i < list->size(); ++i) {
      auto idea = read_idea(*list->get(i)->as_table(), static_cast<int>(i) + 1, lesson_.settings, lesson_.source,
                            findings_, unknown_key_level);
      if (idea) lesson_.ideas.push_back(*std::move(idea));
    }
  }

  const toml::table& root_;
  Lesson lesson_;
  Diagnostics findings_;
};

}  // namespace

LessonReading read_lesson(std::string_view text) {
  if (auto finding = refuse(text)) return {std::nullopt, {*finding}};
  const toml::parse_result parsed = toml::parse(text);
  if (!parsed) {
    const toml::parse_error& error = parsed.error();
    return {std::nullopt,
            {unreadable("syntax", to_place(error.source().begin),
                        "the file cannot be read as a lesson (TOML): " + std::string(error.description()))}};
  }
  return LessonReader(parsed.table(), text).read();
}

}  // namespace fretloom
