#pragma once
// The studio on a port of this machine.

#include <cstdint>
#include <memory>
#include <span>
#include <string>

#include "base/result.h"
#include "files/embedded.h"
#include "studio/studio.h"

namespace fretloom::studio {

class Server {
 public:
  /// Listens on 127.0.0.1 alone, on `port`, or on a free one where that is 0. `studio` and `page` must outlive the
  /// server. Error io: the port is taken, or may not be used.
  [[nodiscard]] static Result<std::unique_ptr<Server>> start(Studio& studio, std::span<const EmbeddedFile> page,
                                                             std::uint16_t port);
  Server(const Server&) = delete;
  Server& operator=(const Server&) = delete;
  /// Ends the studio, and waits for the replies that are on their way.
  ~Server();

  [[nodiscard]] std::uint16_t port() const;
  /// "http://127.0.0.1:43211/"
  [[nodiscard]] std::string address() const;
  /// Of this run: what writes must carry.
  [[nodiscard]] const std::string& token() const;

 private:
  struct State;
  explicit Server(std::unique_ptr<State> state);
  std::unique_ptr<State> state_;
};

}  // namespace fretloom::studio
