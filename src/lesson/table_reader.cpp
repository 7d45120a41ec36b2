#include "lesson/table_reader.h"

#include <algorithm>
#include <cmath>

#include "base/decimal.h"

namespace fretloom {

namespace {

std::string type_word(const toml::node& node) {
  switch (node.type()) {
    case toml::node_type::table: return "a table";
    case toml::node_type::array: return "a list";
    case toml::node_type::string: return "text";
    case toml::node_type::integer: return "a whole number";
    case toml::node_type::floating_point: return "a number";
    case toml::node_type::boolean: return "true or false";
    default: return "a date or time";
  }
}

/// A whole number's digits, or empty.
std::string whole_text(const toml::node& node) {
  const auto* whole = node.as_integer();
  return whole == nullptr ? std::string() : std::to_string(whole->get());
}

/// The finite number that a text begins with: of "120 bpm" 120.
std::optional<double> leading_number(std::string_view text) {
  const std::string_view plain = trim(text);
  double value = 0;
  const auto [end, error] = read_decimal(plain.data(), plain.data() + plain.size(), value);
  if (error != std::errc{} || !std::isfinite(value)) return std::nullopt;
  return value;
}

}  // namespace

std::string in_quotes(const std::string& number) { return number.empty() ? "" : toml_string(number); }

TextRepair always(std::string repair) {
  return [repair = std::move(repair)](const std::string&) { return repair; };
}

NumberRepair near_or(std::string otherwise) {
  return
      [otherwise = std::move(otherwise)](std::optional<int> near) { return near ? std::to_string(*near) : otherwise; };
}

Place to_place(const toml::source_position& position) { return {position.line, position.column}; }

std::string toml_string(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    switch (c) {
      case '"': out += "\\\""; break;
      case '\\': out += "\\\\"; break;
      case '\n': out += "\\n"; break;
      case '\t': out += "\\t"; break;
      case '\r': out += "\\r"; break;
      default:
        if (static_cast<unsigned char>(c) < 0x20 || c == 0x7F) {
          constexpr std::string_view k_hex = "0123456789ABCDEF";
          out += "\\u00";
          out += k_hex[static_cast<unsigned char>(c) >> 4U];
          out += k_hex[static_cast<unsigned char>(c) & 15U];
        } else {
          out += c;
        }
    }
  }
  return out + "\"";
}

std::optional<int> int_in(const toml::node& node, int low, int high) {
  const auto* value = node.as_integer();
  if (value == nullptr || value->get() < low || value->get() > high) return std::nullopt;
  return static_cast<int>(value->get());
}

const toml::node* TableReader::find(std::string_view key) {
  if (std::find(asked_.begin(), asked_.end(), key) == asked_.end()) asked_.emplace_back(key);
  return table_.get(key);
}

void TableReader::report(Level level, const toml::node& at, std::string_view key, std::string code, std::string message,
                         std::string repair) {
  findings_.add(
      {level, std::move(code), path(key), to_place(at.source().begin), std::move(message), std::move(repair)});
}

void TableReader::error(std::string_view key, std::string code, std::string message, std::string repair) {
  const toml::node* node = table_.get(key);
  report(Level::error, node != nullptr ? *node : table_, key, std::move(code), std::move(message), std::move(repair));
}

void TableReader::wrong_type(std::string_view key, const toml::node& node, std::string_view wanted,
                             std::string repair) {
  report(Level::error, node, key, "wrong-type",
         said(key) + " must be " + std::string(wanted) + ", but this is " + type_word(node), std::move(repair));
}

void TableReader::missing(std::string_view key, std::string message, std::string repair) {
  // The top table's own place is the file's start.
  findings_.add({Level::error, "missing-key", path(key), path_ == KeyPath{} ? Place{1, 1} : place(), std::move(message),
                 std::move(repair)});
}

std::optional<std::string> TableReader::string(std::string_view key, const TextRepair& repair) {
  const toml::node* node = find(key);
  if (node == nullptr) return std::nullopt;
  if (const auto* text = node->as_string()) return text->get();
  wrong_type(key, *node, "text in quotes", repair(whole_text(*node)));
  return std::nullopt;
}

std::optional<int> TableReader::integer(std::string_view key, int low, int high, const NumberRepair& repair) {
  const toml::node* node = find(key);
  if (node == nullptr) return std::nullopt;
  const std::string range = std::to_string(low) + " to " + std::to_string(high);
  const auto* whole = node->as_integer();
  if (whole == nullptr) {
    std::optional<int> near;
    std::optional<double> number;
    if (const auto* text = node->as_string()) number = leading_number(text->get());
    if (const auto* real = node->as_floating_point(); real != nullptr && std::isfinite(real->get()))
      number = real->get();
    if (number)
      near = static_cast<int>(std::lround(std::clamp(*number, static_cast<double>(low), static_cast<double>(high))));
    wrong_type(key, *node, "a whole number from " + range, repair(near));
    return std::nullopt;
  }
  if (const auto value = int_in(*node, low, high)) return value;
  error(key, "out-of-range", said(key) + " must be from " + range + ", but this is " + std::to_string(whole->get()),
        repair(static_cast<int>(std::clamp<std::int64_t>(whole->get(), low, high))));
  return std::nullopt;
}

std::optional<double> TableReader::number(std::string_view key, double low, double high, double otherwise) {
  const toml::node* node = find(key);
  if (node == nullptr) return std::nullopt;
  const std::string range = number_text(low) + " to " + number_text(high);
  const auto value = node->is_number() ? node->value<double>() : std::nullopt;
  if (!value) {
    const auto* text = node->as_string();
    const double near = text == nullptr ? otherwise : leading_number(text->get()).value_or(otherwise);
    wrong_type(key, *node, "a number from " + range, number_text(std::clamp(near, low, high)));
    return std::nullopt;
  }
  if (*value >= low && *value <= high) return value;  // false for NaN
  const double near = std::isnan(*value) ? low : std::clamp(*value, low, high);
  error(key, "out-of-range",
        said(key) + " must be from " + range + ", but this is " +
            (std::isnan(*value) ? std::string("not a number") : number_text(*value)),
        number_text(near));
  return std::nullopt;
}

std::optional<std::vector<std::string>> TableReader::strings(std::string_view key, const TextRepair& item_repair,
                                                             const std::string& list_repair) {
  const toml::array* list = array(key, "a list of texts in quotes", list_repair);
  if (list == nullptr) return std::nullopt;
  std::vector<std::string> found;
  for (const toml::node& item : *list) {
    const auto* text = item.as_string();
    if (text == nullptr) {
      report(Level::error, item, key, "wrong-type",
             "everything in " + said(key) + " must be text in quotes, but this is " + type_word(item),
             item_repair(whole_text(item)));
      return std::nullopt;
    }
    found.push_back(text->get());
  }
  return found;
}

const toml::table* TableReader::table(std::string_view key,
                                      const std::function<std::string(const toml::node&)>& repair) {
  const toml::node* node = find(key);
  if (node == nullptr) return nullptr;
  if (const auto* found = node->as_table()) return found;
  wrong_type(key, *node, "a table in braces", repair ? repair(*node) : "");
  return nullptr;
}

const toml::array* TableReader::array(std::string_view key, std::string_view what, std::string repair) {
  const toml::node* node = find(key);
  if (node == nullptr) return nullptr;
  if (const auto* found = node->as_array()) return found;
  wrong_type(key, *node, what, std::move(repair));
  return nullptr;
}

std::optional<std::size_t> TableReader::choice(std::string_view key, std::span<const std::string_view> words,
                                               std::size_t otherwise) {
  const std::string fallback = toml_string(words[otherwise]);
  const auto text = string(key, always(fallback));
  if (!text) return std::nullopt;
  const auto match = std::find(words.begin(), words.end(), std::string_view(*text));
  if (match != words.end()) return static_cast<std::size_t>(match - words.begin());
  // A letter or two of a word ("U") mean that word.
  const std::string wanted = lower(trim(*text));
  const auto begun = std::find_if(words.begin(), words.end(),
                                  [&](std::string_view word) { return !wanted.empty() && word.starts_with(wanted); });
  const std::string near = begun != words.end() ? std::string(*begun) : nearest(*text, words);
  error(key, "unknown-word", "\"" + *text + "\" cannot stand here; write " + either(words),
        near.empty() ? fallback : toml_string(near));
  return std::nullopt;
}

void TableReader::report_unknown_keys() {
  for (const auto& [key, node] : table_) {
    const std::string_view word = key.str();
    if (std::find(asked_.begin(), asked_.end(), word) != asked_.end()) continue;
    const std::vector<std::string_view> known(asked_.begin(), asked_.end());
    const std::string all = join(asked_, ", ");
    const std::string owner = !path_.key.empty() ? path_.key : path_.idea > 0 ? "an idea" : "a lesson";
    findings_.add({unknown_key_level_, "unknown-key", path(word), to_place(key.source().begin),
                   "\"" + std::string(word) + "\" is not a key of " + owner + "; the keys are " + all,
                   nearest(word, known)});
  }
}

}  // namespace fretloom
