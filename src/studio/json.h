#pragma once
// JSON without exceptions: what may throw is never called, parts are asked for their type first.

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

namespace fretloom::studio {

using Json = nlohmann::ordered_json;

/// On one line; bytes that are no UTF-8 become U+FFFD.
[[nodiscard]] inline std::string print(const Json& json) {
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
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
