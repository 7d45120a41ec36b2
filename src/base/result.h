#pragma once
// A value or the reason there is none. Errors are values: no exception crosses a room's edge.

#include <cassert>
#include <optional>
#include <string>
#include <utility>
#include <variant>

namespace fretloom {

/// What kind of thing went wrong, for callers that choose by it; people read `what`.
enum class ErrorKind {
  syntax,       ///< the text cannot be read as what it should be
  range,        ///< a value lies outside its legal range
  unreachable,  ///< a note that the instrument does not have
  io,           ///< a file could not be read or written
  limit,        ///< the input is larger than the reader accepts
  stopped,      ///< nothing is wrong: somebody asked the work to end early
};

/// One failure. `at` is the byte offset into the text that was read (0 where there is none);
/// `repair` is the nearest legal value as text, empty if none is near.
struct Error {
  ErrorKind kind = ErrorKind::syntax;
  std::size_t at = 0;
  std::string what;
  std::string repair;
};

/// The error of work that was stopped on request.
[[nodiscard]] inline Error stopped() { return {ErrorKind::stopped, 0, "stopped", ""}; }

/// Either a T or an Error. `value()` and `error()` may be called only on the matching side.
template <class T>
class [[nodiscard]] Result {
 public:
  Result(T value) : state_(std::move(value)) {}
  Result(Error error) : state_(std::move(error)) {}

  [[nodiscard]] bool ok() const { return std::holds_alternative<T>(state_); }
  explicit operator bool() const { return ok(); }

  [[nodiscard]] const T& value() const& {
    assert(ok());
    return *std::get_if<T>(&state_);
  }
  /// By value, so that `for (x : make().value())` keeps what it goes over.
  [[nodiscard]] T value() && {
    assert(ok());
    return std::move(*std::get_if<T>(&state_));
  }
  [[nodiscard]] const Error& error() const {
    assert(!ok());
    return *std::get_if<Error>(&state_);
  }

  const T& operator*() const& { return value(); }
  const T* operator->() const { return &value(); }

 private:
  std::variant<T, Error> state_;
};

/// May fail, gives nothing: `return {};` where all went well.
template <>
class [[nodiscard]] Result<void> {
 public:
  Result() = default;
  Result(Error error) : error_(std::move(error)) {}

  [[nodiscard]] bool ok() const { return !error_.has_value(); }
  explicit operator bool() const { return ok(); }

  /// May be called only after a failure.
  [[nodiscard]] const Error& error() const {
    assert(!ok());
    return *error_;
  }

 private:
  std::optional<Error> error_;
};

}  // namespace fretloom
