#include "words/english.h"

#include <array>

#include "base/text.h"

namespace fretloom {

namespace {

constexpr std::array<std::string_view, 13> k_numbers = {"no",    "one",   "two",  "three", "four",   "five",  "six",
                                                        "seven", "eight", "nine", "ten",   "eleven", "twelve"};
constexpr std::array<std::string_view, 13> k_ordinals = {"",      "first",    "second",  "third",  "fourth",
                                                         "fifth", "sixth",    "seventh", "eighth", "ninth",
                                                         "tenth", "eleventh", "twelfth"};
constexpr std::string_view k_isolate = "\xE2\x81\xA8";      // U+2068
constexpr std::string_view k_end_isolate = "\xE2\x81\xA9";  // U+2069

}  // namespace

std::string number_word(int number) {
  const auto row = static_cast<std::size_t>(number);
  return number >= 0 && row < k_numbers.size() ? std::string(k_numbers[row]) : std::to_string(number);
}

std::string counted_word(int number, std::string_view noun) {
  return number_word(number) + " " + std::string(noun) + (number == 1 ? "" : "s");
}

std::string times_word(int number) {
  if (number == 1) return "once";
  return number == 2 ? "twice" : counted_word(number, "time");
}

std::string ordinal_word(int number) {
  const auto row = static_cast<std::size_t>(number);
  return number >= 1 && row < k_ordinals.size() ? std::string(k_ordinals[row]) : ordinal_figure(number);
}

std::string ordinal_figure(int number) {
  constexpr std::array<std::string_view, 4> ends = {"th", "st", "nd", "rd"};
  const bool teen = number % 100 >= 11 && number % 100 <= 13;
  const int last = number % 10;
  return std::to_string(number) +
         std::string(teen || last < 1 || last > 3 ? ends[0] : ends[static_cast<std::size_t>(last)]);
}

std::string listed(const std::vector<std::string>& items) {
  std::string text;
  for (std::size_t i = 0; i < items.size(); ++i) {
    if (i > 0) text += i + 1 == items.size() ? " and " : ", ";
    text += items[i];
  }
  return text;
}

std::string capital(std::string text) {
  if (!text.empty() && text.front() >= 'a' && text.front() <= 'z')
    text.front() = static_cast<char>(text.front() - 'a' + 'A');
  return text;
}

std::string a_stroke(Stroke stroke) { return stroke == Stroke::down ? "a downstroke" : "an upstroke"; }

std::string beats_words(const Rational& beats) {
  const std::int64_t whole = beats.floor();
  const Rational part = beats - Rational(whole);
  if (part == Rational(0)) return counted_word(static_cast<int>(whole), "beat");
  const bool half = part == Rational(1, 2);
  if (whole == 0) return half ? "half a beat" : part.to_string() + " of a beat";
  if (half) return number_word(static_cast<int>(whole)) + " and a half beats";
  return std::to_string(whole) + " and " + part.to_string() + " beats";
}

std::string tempo_text(const Rational& bpm) { return number_text(bpm.to_double()); }

std::string plain_line(std::string_view text) {
  std::string line = one_line(text);
  return has_right_to_left(line) ? std::string(k_isolate) + line + std::string(k_end_isolate) : line;
}

std::vector<std::string> plain_lines(const std::vector<std::string>& texts) {
  std::vector<std::string> lines;
  for (const std::string& text : texts) {
    std::string line = plain_line(text);
    if (!line.empty()) lines.push_back(std::move(line));
  }
  return lines;
}

}  // namespace fretloom
