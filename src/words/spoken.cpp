#include "words/spoken.h"

#include <array>
#include <cstdlib>

#include "base/text.h"
#include "words/english.h"
#include "words/settings_words.h"

namespace fretloom {

namespace {

constexpr std::array<std::string_view, 20> k_small = {
    "zero", "one",    "two",    "three",    "four",     "five",    "six",     "seven",     "eight",    "nine",
    "ten",  "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"};
constexpr std::array<std::string_view, 10> k_tens = {"",      "",      "twenty",  "thirty", "forty",
                                                     "fifty", "sixty", "seventy", "eighty", "ninety"};
struct Irregular {
  std::string_view number;
  std::string_view ordinal;
};
constexpr std::array<Irregular, 7> k_irregular = {{{"one", "first"},
                                                   {"two", "second"},
                                                   {"three", "third"},
                                                   {"five", "fifth"},
                                                   {"eight", "eighth"},
                                                   {"nine", "ninth"},
                                                   {"twelve", "twelfth"}}};
constexpr int k_beyond_words = 1'000'000;

bool is_digit(char c) { return c >= '0' && c <= '9'; }

std::string below_hundred(int number) {
  if (number < 20) return std::string(k_small[static_cast<std::size_t>(number)]);
  std::string text(k_tens[static_cast<std::size_t>(number / 10)]);
  if (number % 10 != 0) text += "-" + std::string(k_small[static_cast<std::size_t>(number % 10)]);
  return text;
}

std::string below_thousand(int number) {
  if (number < 100) return below_hundred(number);
  std::string text = below_hundred(number / 100) + " hundred";
  if (number % 100 != 0) text += " and " + below_hundred(number % 100);
  return text;
}

std::string digit_by_digit(std::string_view digits) {
  std::string text;
  for (const char c : digits)
    text += (text.empty() ? "" : " ") + std::string(k_small[static_cast<std::size_t>(c - '0')]);
  return text;
}

std::string_view digits_at(std::string_view text) {
  std::size_t end = 0;
  while (end < text.size() && is_digit(text[end])) ++end;
  return text.substr(0, end);
}

/// The digits as a number, one by one where there are too many.
std::string said_digits(std::string_view digits) {
  const auto number = parse_int(digits);
  return number && *number < k_beyond_words ? spoken_number(*number) : digit_by_digit(digits);
}

}  // namespace

std::string spoken_number(int number) {
  if (number >= k_beyond_words || number <= -k_beyond_words) return std::to_string(number);
  if (number < 0) return "minus " + spoken_number(-number);
  if (number < 1000) return below_thousand(number);
  std::string text = below_thousand(number / 1000) + " thousand";
  const int rest = number % 1000;
  if (rest != 0) text += (rest < 100 ? " and " : " ") + below_thousand(rest);
  return text;
}

std::string spoken_ordinal(int number) {
  const std::string text = spoken_number(number);
  const std::size_t last = text.find_last_of(" -") + 1;  // npos + 1 is 0
  const std::string start = text.substr(0, last);
  const std::string word = text.substr(last);
  for (const Irregular& row : k_irregular) {
    if (word == row.number) return start + std::string(row.ordinal);
  }
  return start + (word.ends_with('y') ? word.substr(0, word.size() - 1) + "ie" : word) + "th";
}

std::string spoken_note(const PitchClass& note) {
  std::string text = note.name().substr(0, 1);
  const int count = std::abs(note.alter);
  if (count == 2) text += " double";
  if (count > 2) text += " " + spoken_number(count) + " times";
  if (count > 0) text += note.alter > 0 ? " sharp" : " flat";
  return text;
}

std::string tone_words(std::string_view name, Manner manner) {
  const auto tone = parse_degree(name);
  if (!tone) return "a tone";
  if (tone->number == 1 && tone->alter == 0) return "the root";
  std::string text = "the ";
  for (int i = tone->alter; i < 0; ++i) text += "flat ";
  for (int i = tone->alter; i > 0; --i) text += "sharp ";
  return text + (manner == Manner::written ? ordinal_figure(tone->number) : spoken_ordinal(tone->number));
}

std::string spoken_key(const Key& key) { return spoken_note(key.tonic()) + " " + aloud(key.said_mode()); }

std::string aloud(std::string_view text) {
  std::string out;
  std::size_t i = 0;
  while (i < text.size()) {
    std::size_t signs = i;
    while (signs < text.size() && (text[signs] == 'b' || text[signs] == '#')) ++signs;
    const bool starts_word = i == 0 || text[i - 1] == ' ';
    if (starts_word && signs > i && signs < text.size() && is_digit(text[signs])) {
      for (; i < signs; ++i) out += text[i] == 'b' ? "flat " : "sharp ";
      continue;
    }
    const std::string_view digits = digits_at(text.substr(i));
    if (digits.empty()) {
      out += text[i++];
      continue;
    }
    const bool letter_before =
        !out.empty() && ((out.back() >= 'a' && out.back() <= 'z') || (out.back() >= 'A' && out.back() <= 'Z'));
    out += (letter_before ? " " : "") + said_digits(digits);
    i += digits.size();
    const std::string_view decimals = i < text.size() && text[i] == '.' ? digits_at(text.substr(i + 1)) : "";
    if (!decimals.empty()) {
      out += " point " + digit_by_digit(decimals);
      i += decimals.size() + 1;
    }
  }
  return out;
}

std::string number_in(Manner manner, int number) {
  return manner == Manner::written ? number_word(number) : spoken_number(number);
}

std::string counted_in(Manner manner, int number, std::string_view noun) {
  return number_in(manner, number) + " " + std::string(noun) + (number == 1 ? "" : "s");
}

}  // namespace fretloom
