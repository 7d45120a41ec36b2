#include "exchange/read_note_list.h"

#include <algorithm>
#include <optional>
#include <string>

#include "base/text.h"
#include "theory/pitch.h"

namespace fretloom {

namespace {

constexpr int k_most_units = 64;
constexpr int k_units_a_beat = 4;

bool is_digit(char c) { return c >= '0' && c <= '9'; }

bool is_string_header(std::string_view word) {
  return word.size() >= 2 && word.back() == ':' && parse_int(word.substr(0, word.size() - 1)).has_value();
}

class ListReader {
 public:
  explicit ListReader(std::string_view text) : text_(text) {}

  Result<GivenPhrase> read() {
    std::size_t at = 0;
    for (const Word& word : words(text_)) {
      at = word.at;
      if (const auto error = take(word)) return *error;
      if (phrase_.notes.size() > k_max_given_notes)
        return Error{ErrorKind::limit, at, "more than " + std::to_string(k_max_given_notes) + " notes in one list", ""};
    }
    if (phrase_.notes.empty()) return Error{ErrorKind::syntax, 0, "there are no notes here", ""};
    if (!has_time_) {
      for (GivenNote& note : phrase_.notes) note.time.reset();
    }
    phrase_.place = {1, 1};
    return std::move(phrase_);
  }

 private:
  [[nodiscard]] static Error fail(std::size_t at, const std::string& what, ErrorKind kind = ErrorKind::syntax) {
    return {kind, at, what, ""};
  }

  /// A word may hold a bar line or a header without a space behind it: "6:12", "15|5:".
  std::optional<Error> take(const Word& word) {
    std::string_view rest = word.text;
    std::size_t at = word.at;
    while (!rest.empty()) {
      if (rest.front() == '|' || rest.front() == ',') {
        rest.remove_prefix(1);
        ++at;
        continue;
      }
      const std::size_t colon = rest.find(':');
      const std::size_t bar = std::min(rest.find('|'), rest.find(','));
      const std::size_t size = colon < bar ? colon + 1 : std::min(bar, rest.size());
      if (auto error = take_part(rest.substr(0, size), at)) return error;
      rest.remove_prefix(size);
      at += size;
    }
    return std::nullopt;
  }

  std::optional<Error> take_part(std::string_view part, std::size_t at) {
    if (part.back() == ':') {
      const auto string = parse_int(part.substr(0, part.size() - 1));
      if (!string || *string < 1 || *string > k_max_strings)
        return fail(at,
                    "\"" + printable(part) + "\" is not a string; write its number and a colon, from 1: to " +
                        std::to_string(k_max_strings) + ":",
                    ErrorKind::range);
      string_ = *string;
      return std::nullopt;
    }
    int units = 1;
    const std::size_t x = part.find('x');
    if (x != std::string_view::npos) {
      const auto number = parse_int(part.substr(x + 1));
      if (!number || *number < 1 || *number > k_most_units)
        return fail(at, "\"" + printable(part) + "\" lasts no length that is known; write x1 to x64", ErrorKind::range);
      units = *number;
      part = part.substr(0, x);
    }
    if (units > 1 || part == "r") has_time_ = true;
    if (part != "r") {
      if (auto error = take_note(part, at, units)) return error;
    } else if (phrase_.notes.empty()) {
      return std::nullopt;  // silence before the first note
    }
    unit_ += units;
    return std::nullopt;
  }

  std::optional<Error> take_note(std::string_view part, std::size_t at, int units) {
    GivenNote note;
    note.time = GivenTime{Rational(unit_, k_units_a_beat), Rational(units, k_units_a_beat)};
    std::string_view rest = part;
    if (rest.ends_with('!')) {
      note.accent = true;
      rest.remove_suffix(1);
    }
    const bool slurred = rest.size() > 1 && (rest[0] == 'h' || rest[0] == 'p' || rest[0] == 's') && is_digit(rest[1]);
    if (slurred) {
      note.attack = rest[0] == 'h' ? Attack::hammer : rest[0] == 'p' ? Attack::pull : Attack::slide;
      rest.remove_prefix(1);
    }
    const auto fret = !rest.empty() && is_digit(rest.front()) ? parse_int(rest) : std::nullopt;
    if (fret) {
      if (string_ == 0) return fail(at, "write the string and a colon before its frets, as in 6: 12 14");
      if (*fret > k_max_frets) return fail(at, "fret " + std::to_string(*fret) + " is on no neck", ErrorKind::range);
      note.at = StringFret{string_, *fret};
    } else if (const auto pitch = parse_pitch(rest); pitch && pitch->midi() >= 0 && pitch->midi() <= 127) {
      note.midi = pitch->midi();
    } else {
      return fail(at, "\"" + printable(part) + "\" is neither a fret nor a pitch such as G3");
    }
    if (!phrase_.notes.empty() && phrase_.notes.front().at.has_value() != note.at.has_value())
      return fail(at, "a list has frets on strings or pitches, not both");
    const bool same_string = !phrase_.notes.empty() && note.at && phrase_.notes.back().at->string == note.at->string;
    if (!same_string) note.attack = Attack::pick;
    phrase_.notes.push_back(note);
    return std::nullopt;
  }

  std::string_view text_;
  GivenPhrase phrase_;
  int string_ = 0;
  int unit_ = 0;
  bool has_time_ = false;
};

}  // namespace

bool looks_like_note_list(std::string_view text) {
  const auto all = words(text);
  if (all.empty()) return false;
  const std::string_view first = all.front().text;
  if (is_string_header(first.substr(0, std::min(first.size(), first.find(':') + 1)))) return true;
  return std::all_of(all.begin(), all.end(), [](const Word& word) {
    return word.text == "|" || word.text.front() == 'r' || parse_pitch(word.text.substr(0, word.text.find('x'))).ok();
  });
}

Result<GivenPhrase> read_note_list(std::string_view text) { return ListReader(text).read(); }

}  // namespace fretloom
