#include "pack/choice.h"

#include <algorithm>
#include <array>
#include <utility>

#include "base/text.h"
#include "sheet/options.h"

namespace fretloom {

namespace {

constexpr std::array<std::string_view, k_part_groups> k_names = {"lesson",   "handout", "tab",      "midi",  "musicxml",
                                                                 "drawings", "audio",   "captions", "words", "plan",
                                                                 "practice", "start",   "zip"};

constexpr std::string_view k_ladder = "ladder";

template <class T>
std::string names_of(const std::vector<T>& items) {
  std::string text;
  for (const T& item : items) text += (text.empty() ? "" : ",") + std::string(name(item));
  return text.empty() ? "-" : text;
}

/// Reads names parted by commas; "-" is none.
template <class T>
bool read_names(std::string_view text, std::optional<T> (*parse)(std::string_view), std::vector<T>& target) {
  target.clear();
  if (text == "-") return true;
  for (const std::string_view word : split(text, ',')) {
    const auto item = parse(word);
    if (!item) return false;
    target.push_back(*item);
  }
  return true;
}

constexpr std::array<std::pair<std::string_view, std::array<bool, 2>>, 3> k_bands = {
    {{"no", {true, false}}, {"yes", {false, true}}, {"both", {true, true}}}};

std::string_view band_word(const std::vector<Backing>& backings) {
  const auto has = [&](Backing backing) {
    return std::find(backings.begin(), backings.end(), backing) != backings.end();
  };
  for (const auto& [word, without_with] : k_bands) {
    if (without_with[0] == has(Backing::none) && without_with[1] == has(Backing::band)) return word;
  }
  return "no";
}

bool read_band_word(std::string_view word, std::vector<Backing>& target) {
  const auto row = std::find_if(k_bands.begin(), k_bands.end(), [&](const auto& r) { return r.first == word; });
  if (row == k_bands.end()) return false;
  target.clear();
  if (row->second[0]) target.push_back(Backing::none);
  if (row->second[1]) target.push_back(Backing::band);
  return true;
}

std::string rationals_of(const std::vector<Rational>& numbers) {
  std::string text;
  for (const Rational& number : numbers) text += (text.empty() ? "" : ",") + number.to_string();
  return text.empty() ? "-" : text;
}

std::optional<Rational> parse_rational(std::string_view text) {
  const auto halves = split(text, '/');
  const auto num = parse_int(halves[0]);
  const auto den = halves.size() == 2 ? parse_int(halves[1]) : std::optional<int>(1);
  if (halves.size() > 2 || !num || !den || *den < 1) return std::nullopt;
  return Rational(*num, *den);
}

}  // namespace

std::string_view name(PartGroup group) { return k_names[static_cast<std::size_t>(group)]; }

std::optional<PartGroup> parse_part_group(std::string_view text) {
  const auto found = std::find(k_names.begin(), k_names.end(), lower(trim(text)));
  if (found == k_names.end()) return std::nullopt;
  return static_cast<PartGroup>(found - k_names.begin());
}

PackChoice usual_pack() {
  PackChoice choice;
  choice.plan.present_bpm = Rational(0);
  choice.sound.pieces = {Piece::demo, Piece::band};
  choice.sound.backings = {Backing::none, Backing::band};
  return choice;
}

PackChoice merged(const PackChoice& old, const PackChoice& wanted) {
  if (wanted.groups.empty()) return wanted;
  const auto makes = [&](PartGroup group) {
    return std::find(wanted.groups.begin(), wanted.groups.end(), group) != wanted.groups.end();
  };
  PackChoice both = old;
  if (makes(PartGroup::handout)) both.paper = wanted.paper;
  if (makes(PartGroup::audio) || makes(PartGroup::captions)) both.sound = wanted.sound;
  if (makes(PartGroup::plan)) both.plan = wanted.plan;
  if (old.groups.empty()) return both;  // all of them
  for (const PartGroup group : wanted.groups) {
    if (std::find(old.groups.begin(), old.groups.end(), group) == old.groups.end()) both.groups.push_back(group);
  }
  std::sort(both.groups.begin(), both.groups.end());
  return both;
}

std::string choice_text(const PackChoice& choice) {
  std::vector<PartGroup> groups = choice.groups;
  std::sort(groups.begin(), groups.end());  // the order that they were asked for in says nothing
  return "parts=" + names_of(groups) + " paper=" + choice.paper + " what=" + names_of(choice.sound.pieces) +
         " tempos=" + (choice.sound.every_rung ? std::string(k_ladder) : rationals_of(choice.sound.tempos)) +
         " formats=" + names_of(choice.sound.formats) + " click=" + std::string(name(choice.sound.click)) +
         " band=" + std::string(band_word(choice.sound.backings)) +
         " intensity=" + std::string(name(choice.sound.band.intensity)) +
         " seed=" + std::to_string(choice.sound.band.seed) + " count-in=" + std::to_string(choice.sound.count_in_bars) +
         " minutes=" + std::to_string(choice.plan.minutes_a_day) + " days=" + std::to_string(choice.plan.days) +
         " present=" + choice.plan.present_bpm.to_string();
}

Result<PackChoice> parse_choice(std::string_view text) {
  PackChoice choice;
  const auto number = [](std::string_view value, int& target) {
    const auto parsed = parse_int(value);
    if (parsed) target = *parsed;
    return parsed.has_value();
  };
  for (const Word& word : words(text)) {
    const auto equals = word.text.find('=');
    const std::string_view key = word.text.substr(0, equals);
    const std::string_view value = equals == std::string_view::npos ? "" : word.text.substr(equals + 1);
    bool good = false;
    if (key == "parts") good = read_names(value, parse_part_group, choice.groups);
    if (key == "paper") good = sheet::parse_paper(choice.paper = value).ok();
    if (key == "what") good = read_names(value, parse_piece, choice.sound.pieces);
    if (key == "formats") good = read_names(value, parse_audio_format, choice.sound.formats);
    if (key == "band") good = read_band_word(value, choice.sound.backings);
    if (key == "intensity") {
      const auto intensity = parse_intensity(value);
      good = intensity.has_value();
      choice.sound.band.intensity = intensity.value_or(Intensity::medium);
    }
    if (key == "seed") {
      const auto seed = parse_int(value);
      good = seed && *seed >= 1;
      choice.sound.band.seed = static_cast<std::uint32_t>(seed.value_or(1));
    }
    if (key == "count-in") good = number(value, choice.sound.count_in_bars);
    if (key == "minutes") good = number(value, choice.plan.minutes_a_day);
    if (key == "days") good = number(value, choice.plan.days);
    if (key == "click") {
      const auto click = parse_click_pattern(value);
      good = click.has_value();
      choice.sound.click = click.value_or(ClickPattern::beat);
    }
    if (key == "present") {
      const auto bpm = parse_rational(value);
      good = bpm.has_value();
      choice.plan.present_bpm = bpm.value_or(Rational(0));
    }
    if (key == "tempos") {
      good = true;
      choice.sound.tempos.clear();
      choice.sound.every_rung = value == k_ladder;
      for (const std::string_view tempo :
           value == "-" || choice.sound.every_rung ? std::vector<std::string_view>() : split(value, ',')) {
        const auto bpm = parse_rational(tempo);
        good = good && bpm.has_value();
        choice.sound.tempos.push_back(bpm.value_or(Rational(60)));
      }
    }
    if (!good)
      return Error{ErrorKind::syntax, word.at, "\"" + std::string(word.text) + "\" is no choice of a pack", ""};
  }
  return choice;
}

}  // namespace fretloom
