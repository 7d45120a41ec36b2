#pragma once
// JSON without exceptions: what may throw is never called, parts are asked for their type first.

#include <algorithm>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace fretloom::studio {

using Json = nlohmann::ordered_json;

/// On one line; bytes that are no UTF-8 become U+FFFD.
[[nodiscard]] inline std::string print(const Json& json) {
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

/// Deeper than any request of the page is.
constexpr int k_deepest_json = 16;

/// How deep arrays and objects lie in one another, at most; of what is no JSON some number.
[[nodiscard]] inline int depth_of(std::string_view text) {
  int depth = 0;
  int deepest = 0;
  bool is_string = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (is_string && c == '\\')
      ++i;
    else if (c == '"')
      is_string = !is_string;
    else if (!is_string && (c == '[' || c == '{'))
      deepest = std::max(deepest, ++depth);
    else if (!is_string && (c == ']' || c == '}'))
      --depth;
  }
  return deepest;
}

/// Nothing where the text is no JSON, or deeper than k_deepest_json.
[[nodiscard]] inline std::optional<Json> parse(std::string_view text) {
  if (depth_of(text) > k_deepest_json) return std::nullopt;
  Json json = Json::parse(text, nullptr, false);
  return json.is_discarded() ? std::nullopt : std::optional(std::move(json));
}

/// A member that is a text; nothing if it is missing or something else.
[[nodiscard]] inline std::optional<std::string> text_at(const Json& json, const char* key) {
  if (!json.is_object() || !json.contains(key) || !json[key].is_string()) return std::nullopt;
  return json[key].get<std::string>();
}

/// A member that is a list of texts; nothing if it is missing or something else.
[[nodiscard]] inline std::optional<std::vector<std::string>> texts_at(const Json& json, const char* key) {
  if (!json.is_object() || !json.contains(key) || !json[key].is_array()) return std::nullopt;
  std::vector<std::string> texts;
  for (const Json& item : json[key]) {
    if (!item.is_string()) return std::nullopt;
    texts.push_back(item.get<std::string>());
  }
  return texts;
}

}  // namespace fretloom::studio
