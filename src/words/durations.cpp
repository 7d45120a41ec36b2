#include "words/durations.h"

#include <optional>

#include "base/decimal.h"
#include "base/text.h"
#include "words/english.h"

namespace fretloom {

namespace {

constexpr double k_shortest = 1.0;
constexpr double k_longest = 24.0 * 3600.0;

/// Digits with at most one point among them.
std::optional<double> parse_seconds(std::string_view text) {
  if (text.empty() || text.find_first_not_of("0123456789.") != std::string_view::npos) return std::nullopt;
  double value = 0;
  const auto [end, error] = read_decimal(text.data(), text.data() + text.size(), value);
  if (error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return value;
}

/// Seconds of "1:35", "1:02:03", "95" or "95.5".
std::optional<double> parse_duration(std::string_view text) {
  const std::vector<std::string_view> parts = split(text, ':');
  if (parts.size() > 3) return std::nullopt;
  double seconds = 0;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const std::string_view part = parts[i];
    const std::string_view whole = part.substr(0, part.find('.'));
    const auto value = parse_seconds(part);
    const bool is_last = i + 1 == parts.size();
    if (!value || (!is_last && whole.size() != part.size())) return std::nullopt;
    if (i > 0 && (*value >= 60 || whole.size() != 2)) return std::nullopt;
    seconds = 60 * seconds + *value;
  }
  return seconds;
}

class Reader {
 public:
  Durations read(std::string_view text) {
    constexpr std::string_view k_byte_order_mark = "\xEF\xBB\xBF";
    if (text.starts_with(k_byte_order_mark)) text.remove_prefix(k_byte_order_mark.size());
    for (const std::string_view line : split(text, '\n')) {
      ++line_;
      if (const auto found = words(line); !found.empty() && found.front().text.front() != '#') section(line, found[0]);
    }
    if (result_.sections.empty() && result_.findings.empty()) {
      line_ = 1;
      bad("none", 1, "there is no section; write one a line, duration and title", "1:30 The rule");
    }
    return std::move(result_);
  }

 private:
  void section(std::string_view line, const Word& duration) {
    const auto column = static_cast<std::uint32_t>(count_code_points(line.substr(0, duration.at)) + 1);
    const std::string word = plain_line(duration.text);
    const auto seconds = parse_duration(duration.text);
    const std::string title = plain_line(line.substr(duration.at + duration.text.size()));
    if (!seconds) {
      bad("syntax", column, "\"" + word + "\" is not a duration; write m:ss, h:mm:ss or seconds", "1:30");
    } else if (*seconds < k_shortest || *seconds > k_longest) {
      bad("range", column, "a section lasts 1 second to 24 hours, not " + word,
          *seconds < k_shortest ? "1" : "24:00:00");
    } else if (total_ + *seconds > k_longest) {
      bad("range", column, "with this section the whole is longer than 24 hours", "");
    } else if (title.empty()) {
      bad("title", column, "the section has no title; write it behind the duration", word + " Section " + number());
    } else {
      total_ += *seconds;
      result_.sections.push_back({*seconds, title});
    }
  }

  [[nodiscard]] std::string number() const { return std::to_string(result_.sections.size() + 1); }

  void bad(std::string_view code, std::uint32_t column, std::string message, std::string repair) {
    result_.findings.push_back(
        {Level::error, "duration-" + std::string(code), {}, {line_, column}, std::move(message), std::move(repair)});
  }

  Durations result_;
  double total_ = 0;
  std::uint32_t line_ = 0;
};

}  // namespace

Durations read_durations(std::string_view text) { return Reader().read(text); }

}  // namespace fretloom
