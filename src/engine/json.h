#pragma once
// JSON without exceptions: what may throw is never called, parts are asked for their type first.

#include <nlohmann/json.hpp>
#include <string>

namespace fretloom::engine {

using Json = nlohmann::ordered_json;

/// On one line; bytes that are no UTF-8 become U+FFFD.
[[nodiscard]] inline std::string print(const Json& json) {
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace fretloom::engine
