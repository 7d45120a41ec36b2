#pragma once
// Findings: what a reader or a later stage has to say about a document, each with its place.

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

/// One finding. `code` is a stable word for machines ("layout-off-neck"), `where` the key's path in
/// the document ("idea[2].cell", ideas from 1), `message` a sentence with the legal range, `repair`
/// the nearest legal text for the value, empty where none is known.
struct Finding {
  Level level = Level::error;
  std::string code;
  std::string where;
  Place place;
  std::string message;
  std::string repair;

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
