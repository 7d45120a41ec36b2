#pragma once
// Who is answered. The server listens on this machine alone, but every page in the teacher's browser can send it
// requests, and a name that a stranger owns can be made to lead here (DNS rebinding). So each request is looked at
// before anything is done for it.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>

#include "studio/request.h"

namespace fretloom::studio {

struct GuardRules {
  std::uint16_t port = 0;  ///< where the server listens
  std::string token;       ///< of this run: what only our own page can have read
};

struct Refusal {
  int status = 403;
  std::string kind;  ///< for the page: "wrong", or "away" where another run of the server has come
  std::string message;
};

/// Of a body: a lesson of 1 MB whose every other character is escaped, and some more.
constexpr std::size_t k_largest_body = std::size_t{4} << 20U;

/// Calls of the page lie below this path; all else is a file of the page.
constexpr std::string_view k_api = "/api/";

/// Nothing where the request is good. Which header says what: Host, RFC 9110, 7.2 (421 in 15.5.20); Origin, RFC 6454;
/// Sec-Fetch-Site, Fetch Metadata Request Headers (W3C).
[[nodiscard]] std::optional<Refusal> refuse(const RequestHead& head, const GuardRules& rules);

}  // namespace fretloom::studio
