#include "studio/guard.h"

#include <algorithm>
#include <array>
#include <charconv>

#include "base/text.h"

namespace fretloom::studio {

namespace {

bool is_call(const RequestHead& head) { return head.path.starts_with(k_api); }
bool is_write(const RequestHead& head) { return head.method == "POST"; }

Refusal wrong(int status, std::string message) { return {status, "wrong", std::move(message)}; }

using Check = std::optional<Refusal>;

/// A header that is there twice can be read in two ways.
Check one_of_each(const RequestHead& head, const GuardRules& /*rules*/) {
  for (const char* name : {"host", "origin", "sec-fetch-site", "content-type", "content-length", "fretloom-token"}) {
    if (head.headers.count(name) > 1) return wrong(400, "The request has the header " + std::string(name) + " twice.");
  }
  return std::nullopt;
}

/// A page of another name that leads to this machine would be of the same origin as itself.
Check own_host(const RequestHead& head, const GuardRules& rules) {
  const std::string port = ":" + std::to_string(rules.port);
  const std::string host = lower(head.header("host"));
  if (host == "127.0.0.1" + port || host == "localhost" + port) return std::nullopt;
  return wrong(421, "Fretloom answers only to 127.0.0.1" + port + " and localhost" + port + ".");
}

Check known_method(const RequestHead& head, const GuardRules& /*rules*/) {
  if (head.method == "GET" || head.method == "HEAD" || (is_write(head) && is_call(head))) return std::nullopt;
  return wrong(405, "Fretloom does not know this kind of request.");
}

/// The length of every body is known before it comes, so that the limit holds for all of them.
Check known_length(const RequestHead& head, const GuardRules& /*rules*/) {
  if (head.has("transfer-encoding")) return wrong(411, "The request must say how long it is.");
  if (!is_write(head)) {
    if (head.has("content-length") && head.header("content-length") != "0")
      return wrong(400, "A question has no body.");
    return std::nullopt;
  }
  const std::string_view text = head.header("content-length");
  std::size_t length = 0;
  const auto read = std::from_chars(text.data(), text.data() + text.size(), length);
  if (read.ec == std::errc::result_out_of_range)
    length = k_largest_body + 1;
  else if (text.empty() || read.ec != std::errc() || read.ptr != text.data() + text.size())
    return wrong(411, "The request must say how long it is.");
  if (length > k_largest_body) return wrong(413, "The request is larger than " + byte_text(k_largest_body) + ".");
  return std::nullopt;
}

/// No other page may ask, even where it could not read the answer. "none" is the address line.
Check own_site(const RequestHead& head, const GuardRules& /*rules*/) {
  if (!is_call(head) || !head.has("sec-fetch-site")) return std::nullopt;
  const std::string_view site = head.header("sec-fetch-site");
  if (site == "same-origin" || (site == "none" && !is_write(head))) return std::nullopt;
  return wrong(403, "Fretloom answers only its own page.");
}

Check write_from_own_site(const RequestHead& head, const GuardRules& /*rules*/) {
  if (!is_write(head) || head.has("sec-fetch-site")) return std::nullopt;
  return wrong(403, "The request does not say which page it comes from.");
}

Check write_from_own_origin(const RequestHead& head, const GuardRules& /*rules*/) {
  if (!is_write(head) || head.header("origin") == "http://" + std::string(head.header("host"))) return std::nullopt;
  return wrong(403, "Fretloom lets only its own page change something.");
}

/// A form or a plain script of another page cannot send this type without asking first, which is refused.
Check write_of_json(const RequestHead& head, const GuardRules& /*rules*/) {
  if (!is_write(head)) return std::nullopt;
  const std::string type = lower(head.header("content-type"));
  if (type == "application/json" || type == "application/json;charset=utf-8" ||
      type == "application/json; charset=utf-8")
    return std::nullopt;
  return wrong(415, "The request must be JSON.");
}

/// Compared in the same time wherever they differ.
bool is_equal(std::string_view a, std::string_view b) {
  if (a.size() != b.size()) return false;
  unsigned difference = 0;
  for (std::size_t i = 0; i < a.size(); ++i)
    difference |= static_cast<unsigned char>(a[i]) ^ static_cast<unsigned char>(b[i]);
  return difference == 0;
}

Check write_with_token(const RequestHead& head, const GuardRules& rules) {
  if (!is_write(head) || is_equal(head.header("fretloom-token"), rules.token)) return std::nullopt;
  return Refusal{403, "away", "Fretloom was started anew since this page was opened. Open the page again."};
}

constexpr std::array k_checks = {
    one_of_each,           own_host,      known_method,     known_length, own_site, write_from_own_site,
    write_from_own_origin, write_of_json, write_with_token,
};

}  // namespace

std::optional<Refusal> refuse(const RequestHead& head, const GuardRules& rules) {
  for (const auto check : k_checks) {
    if (auto refusal = check(head, rules)) return refusal;
  }
  return std::nullopt;
}

}  // namespace fretloom::studio
