#pragma once
// A small HTTP/1.1 client that can also send what no good client would.

#include <arpa/inet.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <cstdint>
#include <map>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/text.h"

namespace fretloom::test {

struct HttpAnswer {
  int status = 0;                              ///< 0: the server closed the connection without a word
  std::map<std::string, std::string> headers;  ///< names in lower case
  std::string body;

  [[nodiscard]] std::string header(const std::string& name) const {
    const auto found = headers.find(name);
    return found == headers.end() ? "" : found->second;
  }
};

using Headers = std::vector<std::pair<std::string, std::string>>;

/// One connection.
class Wire {
 public:
  explicit Wire(std::uint16_t port) : socket_(::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)) {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_port = htons(port);
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    is_open_ = ::connect(socket_, reinterpret_cast<sockaddr*>(&address), sizeof address) == 0;
  }
  Wire(const Wire&) = delete;
  Wire& operator=(const Wire&) = delete;
  ~Wire() { ::close(socket_); }

  [[nodiscard]] bool is_open() const { return is_open_; }

  /// False where the server has closed the connection.
  bool send(std::string_view bytes) {
    while (!bytes.empty()) {
      const ssize_t n = ::send(socket_, bytes.data(), bytes.size(), MSG_NOSIGNAL);
      if (n <= 0) return false;
      bytes.remove_prefix(static_cast<std::size_t>(n));
    }
    return true;
  }

  /// Nothing more will come from here.
  void finish() { ::shutdown(socket_, SHUT_WR); }

  /// The next answer, waited for up to `seconds`. `has_body`: false for an answer to HEAD.
  HttpAnswer receive(int seconds = 30, bool has_body = true) {
    HttpAnswer answer;
    std::size_t end = 0;
    while ((end = got_.find("\r\n\r\n")) == std::string::npos) {
      if (!more(seconds)) return answer;
    }
    const std::string head = got_.substr(0, end);
    got_.erase(0, end + 4);
    const auto lines = split(head, '\n');
    if (lines.empty() || !lines[0].starts_with("HTTP/1.") || lines[0].size() < 12) return answer;
    for (std::size_t i = 1; i < lines.size(); ++i) {
      const std::size_t colon = lines[i].find(':');
      if (colon == std::string_view::npos) continue;
      answer.headers[lower(lines[i].substr(0, colon))] = std::string(trim(lines[i].substr(colon + 1)));
    }
    answer.status = parse_int(lines[0].substr(9, 3)).value_or(0);
    const std::size_t length =
        has_body ? static_cast<std::size_t>(parse_int(answer.header("content-length")).value_or(0)) : 0;
    while (got_.size() < length) {
      if (!more(seconds)) break;
    }
    answer.body = got_.substr(0, length);
    got_.erase(0, length);
    return answer;
  }

 private:
  bool more(int seconds) {
    pollfd wanted{socket_, POLLIN, 0};
    if (::poll(&wanted, 1, seconds * 1000) <= 0) return false;
    std::array<char, std::size_t{1} << 16U> block{};
    const ssize_t n = ::recv(socket_, block.data(), block.size(), 0);
    if (n <= 0) return false;
    got_.append(block.data(), static_cast<std::size_t>(n));
    return true;
  }

  int socket_;
  bool is_open_ = false;
  std::string got_;
};

inline std::string request_text(const std::string& method, const std::string& target, const Headers& headers,
                                const std::string& body = "") {
  std::string text = method + " " + target + " HTTP/1.1\r\n";
  for (const auto& [name, value] : headers) text += name + ": " + value + "\r\n";
  return text + "\r\n" + body;
}

/// Sends a whole text on a connection of its own and gives the first answer.
inline HttpAnswer exchange(std::uint16_t port, const std::string& text) {
  Wire wire(port);
  wire.send(text);
  return wire.receive();
}

}  // namespace fretloom::test
