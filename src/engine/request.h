#pragma once
// A request, read field by field. A field of the wrong type or out of range is remembered; fault() tells the first.

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/result.h"
#include "engine/json.h"

namespace fretloom::engine {

class Request {
 public:
  /// Errors: limit = above FRETLOOM_MOST_REQUEST_BYTES; syntax = no JSON, no object, or no text at "call".
  [[nodiscard]] static Result<Request> parse(std::string_view text);

  [[nodiscard]] const std::string& call() const { return call_; }

  /// A number of `low` to `high`. Where the field is missing: `otherwise`, and without one a fault.
  int integer(std::string_view field, int low, int high, std::optional<int> otherwise = std::nullopt);
  double number(std::string_view field, double low, double high, std::optional<double> otherwise = std::nullopt);
  /// A text that must be there.
  std::string text(std::string_view field);
  bool flag(std::string_view field, bool otherwise);
  /// The row whose word stands there.
  template <class E, std::size_t N>
  E one_of(std::string_view field, const std::array<std::pair<std::string_view, E>, N>& rows, E otherwise) {
    std::array<std::string_view, N> words;
    for (std::size_t i = 0; i < N; ++i) words[i] = rows[i].first;
    const auto row = word(field, words.data(), N);
    return row ? rows[*row].second : otherwise;
  }
  [[nodiscard]] bool has(std::string_view field) const;

  /// The first field that was wrong, or that no call has asked for. To be asked when all have been read.
  [[nodiscard]] std::optional<Error> fault() const;

 private:
  explicit Request(Json fields) : fields_(std::move(fields)) {}

  const Json* find(std::string_view field);
  void wrong(std::string_view field, const std::string& wanted);
  std::optional<std::size_t> word(std::string_view field, const std::string_view* words, std::size_t count);

  Json fields_;
  std::string call_;
  std::vector<std::string_view> asked_ = {"call"};
  std::optional<Error> fault_;
};

}  // namespace fretloom::engine
