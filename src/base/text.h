#pragma once
// Small helpers on UTF-8 text.

#include <concepts>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace fretloom {

[[nodiscard]] std::string_view trim(std::string_view text);
/// ASCII letters to lower case; other bytes unchanged.
[[nodiscard]] std::string lower(std::string_view text);
/// Parts between `separator`; n separators give n + 1 parts.
[[nodiscard]] std::vector<std::string_view> split(std::string_view text, char separator);
/// The parts point into the text: one that goes at once must be kept under a name first.
template <std::same_as<std::string> S>
std::vector<std::string_view> split(S&& text, char separator) = delete;
[[nodiscard]] std::string join(std::span<const std::string> parts, std::string_view separator);
/// "a", "a or b", "a, b or c".
[[nodiscard]] std::string either(std::span<const std::string_view> words);

/// A word of a text and the byte offset where it starts.
struct Word {
  std::string_view text;
  std::size_t at = 0;
};
/// Runs of anything but space, tab, carriage return and newline.
[[nodiscard]] std::vector<Word> words(std::string_view text);
/// As with split.
template <std::same_as<std::string> S>
std::vector<Word> words(S&& text) = delete;

/// The whole text as a decimal integer, or nothing (also on overflow).
[[nodiscard]] std::optional<int> parse_int(std::string_view text);

/// Unicode accidental signs (U+266F, U+266D, U+266E, U+1D12A, U+1D12B) written as # b, nothing, ## and bb.
[[nodiscard]] std::string plain_accidentals(std::string_view text);

/// Number of code points; each invalid byte counts as one.
[[nodiscard]] std::size_t count_code_points(std::string_view text);
/// Bytes from the start that are well-formed UTF-8 (Unicode 15, table 3-7); the size of a good text.
[[nodiscard]] std::size_t utf8_prefix(std::string_view text);
/// The text with all that is no character of XML (1.0, section 2.2) replaced by U+FFFD: ill-formed UTF-8, control
/// characters but tab, newline and return, U+FFFE and U+FFFF.
[[nodiscard]] std::string xml_text(std::string_view text);
/// The same, with & < > and the double quote as references: for the text and the attributes of XML and HTML.
[[nodiscard]] std::string markup_text(std::string_view text);
/// A name on one line: line breaks, control characters and runs of blanks become one space, what is no character
/// of XML becomes U+FFFD, bidirectional controls are dropped (an open one would turn the words behind it).
[[nodiscard]] std::string one_line(std::string_view text);
/// Prose: the same, line by line.
[[nodiscard]] std::string plain_prose(std::string_view text);
/// Whether a letter belongs to a block of right-to-left scripts.
[[nodiscard]] bool has_right_to_left(std::string_view text);
/// Text of a stranger for a terminal: control characters and bytes that are no UTF-8 as \xNN.
[[nodiscard]] std::string printable(std::string_view text);
/// Columns a terminal takes: code points, wide East Asian and emoji ranges as two, combining marks as none.
[[nodiscard]] std::size_t display_width(std::string_view text);

/// Edit distance with insertions, deletions, replacements and swaps of neighbours (optimal string alignment).
[[nodiscard]] std::size_t edit_distance(std::string_view a, std::string_view b);
/// The candidate nearest to `text` (case ignored) within a third of its length + 1; else one that begins
/// with it or that it begins with, two characters or more; else empty.
[[nodiscard]] std::string nearest(std::string_view text, std::span<const std::string_view> candidates);

/// Breaks prose at spaces so that no line is wider than `width` columns (a longer word stands alone).
[[nodiscard]] std::vector<std::string> wrap(std::string_view text, std::size_t width);

/// Shortest decimal text of a number that reads back the same: 60, 92.5.
[[nodiscard]] std::string number_text(double value);

/// A safe name for a file, whatever the title: lower-case ASCII letters and digits, all else one hyphen, at
/// most 48 bytes; `fallback` if nothing is left. "Six that folds back" gives six-that-folds-back.
[[nodiscard]] std::string file_slug(std::string_view title, std::string_view fallback);

/// "1 note", "3 notes".
[[nodiscard]] std::string counted(std::size_t count, std::string_view noun);

/// A size for people, exact: "8 MB", "64 kB" (of 1024), "1000 bytes" where no larger word divides it.
[[nodiscard]] std::string byte_text(std::uintmax_t bytes);

}  // namespace fretloom
