#pragma once
// Typed, checked access to one TOML table: every wrong type, illegal value and unknown key becomes a
// finding with its place, the legal range and the nearest repair.

#include <array>
#include <functional>
#include <initializer_list>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/diagnostics.h"
#include "base/text.h"
#include "lesson/key_name.h"
#include "lesson/toml.h"

namespace fretloom {

[[nodiscard]] Place to_place(const toml::source_position& position);
/// `text` as a TOML basic string.
[[nodiscard]] std::string toml_string(std::string_view text);

/// The repair, in TOML, for a value of the wrong type; `number` is the whole number that stands there,
/// or empty.
using TextRepair = std::function<std::string(const std::string& number)>;
/// The repair, in TOML, for a value that is no legal number; `near` is the nearest in range, nothing
/// where the value is no number at all.
using NumberRepair = std::function<std::string(std::optional<int> near)>;

/// Any text is legal: the number in quotes.
[[nodiscard]] std::string in_quotes(const std::string& number);
/// The same repair whatever stands there.
[[nodiscard]] TextRepair always(std::string repair);
/// The nearest number in range, or `otherwise`.
[[nodiscard]] NumberRepair near_or(std::string otherwise);

class TableReader {
 public:
  /// `path` names the table in findings.
  TableReader(const toml::table& table, KeyPath path, Diagnostics& findings, Level unknown_key_level)
      : table_(table), path_(std::move(path)), findings_(findings), unknown_key_level_(unknown_key_level) {}

  [[nodiscard]] const toml::node* find(std::string_view key);
  [[nodiscard]] bool has(std::string_view key) const { return table_.get(key) != nullptr; }
  [[nodiscard]] KeyPath path(std::string_view key) const { return path_ / key; }
  /// The key as a sentence names it: "the goal tempo".
  [[nodiscard]] std::string said(std::string_view key) const { return key_name(path(key)); }
  [[nodiscard]] Place place() const { return to_place(table_.source().begin); }

  std::optional<std::string> string(std::string_view key, const TextRepair& repair = in_quotes);
  std::optional<int> integer(std::string_view key, int low, int high, const NumberRepair& repair = near_or(""));
  /// `otherwise` mends a value that is no number.
  std::optional<double> number(std::string_view key, double low, double high, double otherwise);
  /// `item_repair` mends an item of the wrong type, `list_repair` a value that is no list.
  std::optional<std::vector<std::string>> strings(std::string_view key, const TextRepair& item_repair,
                                                  const std::string& list_repair);
  /// `repair` makes a table of a value that is none.
  const toml::table* table(std::string_view key, const std::function<std::string(const toml::node&)>& repair = {});
  const toml::array* array(std::string_view key, std::string_view what, std::string repair = "");
  /// Index of the word among `words`; the one at `otherwise` mends what is near none of them.
  std::optional<std::size_t> choice(std::string_view key, std::span<const std::string_view> words,
                                    std::size_t otherwise = 0);
  std::optional<std::size_t> choice(std::string_view key, std::initializer_list<std::string_view> words,
                                    std::size_t otherwise = 0) {
    return choice(key, std::span(words.begin(), words.size()), otherwise);
  }
  /// The row whose word stands there.
  template <class E, std::size_t N>
  std::optional<E> one_of(std::string_view key, const std::array<std::pair<std::string_view, E>, N>& rows,
                          std::size_t otherwise = 0) {
    std::array<std::string_view, N> words;
    for (std::size_t i = 0; i < N; ++i) words[i] = rows[i].first;
    const auto row = choice(key, words, otherwise);
    return row ? std::optional(rows[*row].second) : std::nullopt;
  }

  void error(std::string_view key, std::string code, std::string message, std::string repair = "");
  void report(Level level, const toml::node& at, std::string_view key, std::string code, std::string message,
              std::string repair = "");
  void wrong_type(std::string_view key, const toml::node& node, std::string_view wanted, std::string repair);
  void missing(std::string_view key, std::string message, std::string repair);
  /// Reports every key that no call has asked for.
  void report_unknown_keys();

 private:
  const toml::table& table_;
  KeyPath path_;
  Diagnostics& findings_;
  Level unknown_key_level_;
  std::vector<std::string> asked_;
};

/// An integer node's value within [low, high], or nothing.
[[nodiscard]] std::optional<int> int_in(const toml::node& node, int low, int high);

}  // namespace fretloom
