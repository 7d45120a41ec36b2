#include "exchange/midi_text.h"

#include <array>
#include <utility>
#include <vector>

#include "base/text.h"

namespace fretloom {

namespace {

constexpr std::string_view k_strings = "strings, thick to thin:";
constexpr std::string_view k_capo = "capo ";
constexpr std::string_view k_string = "string ";
constexpr std::string_view k_accent = "accent";
constexpr std::array<std::pair<Attack, std::string_view>, 3> k_attacks = {
    {{Attack::hammer, "hammer-on"}, {Attack::pull, "pull-off"}, {Attack::slide, "slide"}}};

/// The number behind a word, from `least` on.
std::optional<int> number_behind(std::string_view word, std::string_view text, int least, int most) {
  if (!text.starts_with(word)) return std::nullopt;
  const auto number = parse_int(text.substr(word.size()));
  return number && *number >= least && *number <= most ? number : std::nullopt;
}

}  // namespace

std::string to_text(const MidiStrings& strings) {
  std::string text(k_strings);
  for (const SpelledPitch& open : strings.tuning.open) text += " " + open.name();
  if (strings.capo > 0) text += "; " + std::string(k_capo) + std::to_string(strings.capo);
  return text;
}

std::string to_text(const MidiTouch& touch) {
  std::vector<std::string> parts;
  if (touch.string) parts.push_back(std::string(k_string) + std::to_string(*touch.string));
  for (const auto& [attack, name] : k_attacks) {
    if (attack == touch.attack) parts.emplace_back(name);
  }
  if (touch.accent) parts.emplace_back(k_accent);
  return join(parts, ", ");
}

std::optional<MidiStrings> read_midi_strings(std::string_view text) {
  if (!text.starts_with(k_strings)) return std::nullopt;
  MidiStrings strings;
  const std::vector<std::string_view> parts = split(text.substr(k_strings.size()), ';');
  if (parts.size() > 2) return std::nullopt;
  if (parts.size() == 2) {
    const auto capo = number_behind(k_capo, trim(parts[1]), 1, k_max_frets);
    if (!capo) return std::nullopt;
    strings.capo = *capo;
  }
  std::vector<std::string> pitches;
  for (const Word& word : words(parts[0])) pitches.emplace_back(word.text);
  auto tuning = parse_tuning(std::span<const std::string>(pitches));
  if (!tuning) return std::nullopt;
  strings.tuning = *std::move(tuning);
  return strings;
}

std::optional<MidiTouch> read_midi_touch(std::string_view text) {
  MidiTouch touch;
  for (const std::string_view raw : split(text, ',')) {
    const std::string_view part = trim(raw);
    if (const auto string = number_behind(k_string, part, 1, k_max_strings)) {
      touch.string = string;
    } else if (part == k_accent) {
      touch.accent = true;
    } else {
      bool known = false;
      for (const auto& [attack, name] : k_attacks) {
        if (part != name) continue;
        touch.attack = attack;
        known = true;
      }
      if (!known) return std::nullopt;
    }
  }
  return touch;
}

}  // namespace fretloom
