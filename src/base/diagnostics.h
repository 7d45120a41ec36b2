#pragma once
// Findings: what a reader or a later stage has to say about a document, each with its place.

#include <compare>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace fretloom {

enum class Level { note, warning, error };

[[nodiscard]] std::string_view name(Level level);

/// A place in a text file. Line and column count from 1, columns in Unicode code points;
/// 0 means "the file as a whole".
struct Place {
  std::uint32_t line = 0;
  std::uint32_t column = 0;

  friend bool operator==(const Place&, const Place&) = default;
};

/// Where in a lesson file a value stands.
struct KeyPath {
  int idea = 0;     ///< number in the file, from 1; 0 = at the top level
  std::string key;  ///< dotted path from there: "layout.from", "fingers[2].note"; empty = the table itself

  /// "layout.from", "idea[2].cell", "idea[2]", "".
  [[nodiscard]] std::string text() const;
  /// The path of a key in the table that this path names.
  [[nodiscard]] KeyPath operator/(std::string_view child) const;
  /// The table that this path's key stands in.
  [[nodiscard]] KeyPath parent() const;
  /// The last key alone: "from".
  [[nodiscard]] std::string_view last() const;

  friend auto operator<=>(const KeyPath&, const KeyPath&) = default;
};

/// Reads what KeyPath::text writes. Total: a text that begins with no "idea[N]" is a path at the top level.
[[nodiscard]] KeyPath parse_key_path(std::string_view text);

/// One finding. `code` is a stable word for machines ("layout-off-neck"), `where` the key it speaks of,
/// `message` a sentence with the legal range, `repair` the nearest legal text for the value, empty where
/// none is known. `bar` is the bar of the music it speaks of, from 1, where that is one and the same at every
/// number of notes a beat; 0 where there is none, or in the pick-up.
struct Finding {
  Level level = Level::error;
  std::string code;
  KeyPath where;
  Place place;
  std::string message;
  std::string repair;
  std::int64_t bar = 0;

  friend bool operator==(const Finding&, const Finding&) = default;
};

/// `file:line:col: level: message (repair: ...)`: the line that goes to stderr.
[[nodiscard]] std::string to_line(const Finding& finding, std::string_view file);

/// Collects findings and lets the pass go on.
class Diagnostics {
 public:
  void add(Finding finding) { findings_.push_back(std::move(finding)); }
  [[nodiscard]] const std::vector<Finding>& findings() const { return findings_; }

 private:
  std::vector<Finding> findings_;
};

}  // namespace fretloom
