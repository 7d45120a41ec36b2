#include "cli/option_values.h"

#include <charconv>
#include <cmath>

#include "play/timeline.h"

namespace fretloom {

std::optional<double> parse_number(std::string_view text) {
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

bool read_tempos(const std::string& option, const std::string& text, std::vector<Rational>& target) {
  if (text.empty()) return true;
  for (const std::string_view word : split(text, ',')) {
    const std::string given(trim(word));
    const auto number = parse_number(given);
    const auto bpm = legal_tempo(number.value_or(std::nan("")));
    if (!bpm) {
      fail("--" + option + " " + given + ": " + bpm.error().what + " (repair: --" + option + " " + bpm.error().repair +
           ")");
      return false;
    }
    target.push_back(*bpm);
  }
  return true;
}

bool read_sound_tempos(const std::string& text, SoundChoice& target) {
  target.every_rung = lower(trim(text)) == "ladder";
  return target.every_rung || read_tempos("tempo", text, target.tempos);
}

bool read_count(const std::string& option, const std::optional<int>& given, int low, int high, int& target) {
  if (!given) return true;
  if (*given < low || *given > high) {
    fail("--" + option + " must be from " + std::to_string(low) + " to " + std::to_string(high) + ", but this is " +
         std::to_string(*given));
    return false;
  }
  target = *given;
  return true;
}

}  // namespace fretloom
