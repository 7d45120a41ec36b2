#pragma once
// A request to the studio's server, and the reply.

#include <cstdint>
#include <map>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace fretloom::studio {

/// What comes before the body.
struct RequestHead {
  std::string method;                               ///< as sent: "GET"
  std::string path;                                 ///< without the query, % resolved: "/api/lessons"
  std::multimap<std::string, std::string> headers;  ///< names in lower case, values as sent
  std::map<std::string, std::string> query;         ///< % resolved; the last of a name

  /// The first header of a name in lower case; empty where there is none.
  [[nodiscard]] std::string_view header(const std::string& name) const {
    const auto found = headers.find(name);
    return found == headers.end() ? std::string_view() : std::string_view(found->second);
  }
  [[nodiscard]] bool has(const std::string& name) const { return headers.contains(name); }
  /// Empty where it is not given.
  [[nodiscard]] std::string asked(const std::string& name) const {
    const auto found = query.find(name);
    return found == query.end() ? std::string() : found->second;
  }
};

struct Reply {
  int status = 200;
  std::string type;  ///< media type
  std::string body;
  std::vector<std::pair<std::string, std::string>> headers = {};
};

}  // namespace fretloom::studio
