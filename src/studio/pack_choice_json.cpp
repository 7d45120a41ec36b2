#include "studio/pack_choice_json.h"

#include <algorithm>
#include <array>

#include "base/decimal.h"
#include "base/text.h"
#include "play/timeline.h"
#include "sheet/options.h"

namespace fretloom::studio {

namespace {

constexpr std::string_view k_ladder = "ladder";

template <class T>
Json names_of(const std::vector<T>& items) {
  Json names = Json::array();
  for (const T& item : items) names.push_back(std::string(name(item)));
  return names;
}

template <class T>
bool read_names(const Json& value, std::optional<T> (*parse)(std::string_view), std::vector<T>& target) {
  if (!value.is_array()) return false;
  target.clear();
  for (const Json& item : value) {
    const auto read = item.is_string() ? parse(item.get<std::string>()) : std::optional<T>();
    if (!read) return false;
    target.push_back(*read);
  }
  return true;
}

bool read_count(const Json& value, int low, int high, int& target) {
  if (!value.is_number_integer()) return false;
  const auto number = value.get<std::int64_t>();
  if (number < low || number > high) return false;
  target = static_cast<int>(number);
  return true;
}

bool read_only(const Json& value, PackChoice& choice) {
  if (!read_names(value, parse_part_group, choice.groups)) return false;
  std::erase_if(choice.groups, is_always);
  return true;
}
bool read_what(const Json& value, PackChoice& choice) {
  return read_names(value, parse_piece, choice.sound.pieces) && !choice.sound.pieces.empty();
}
bool read_format(const Json& value, PackChoice& choice) {
  return read_names(value, parse_audio_format, choice.sound.formats) && !choice.sound.formats.empty();
}
bool read_tempo(const Json& value, PackChoice& choice) {
  if (!value.is_array()) return false;
  choice.sound.tempos.clear();
  choice.sound.every_rung = value.size() == 1 && value.front() == k_ladder;
  if (choice.sound.every_rung) return true;
  for (const Json& item : value) {
    const auto bpm = item.is_string() ? tempo_of(item.get<std::string>()) : std::optional<Rational>();
    if (!bpm) return false;
    choice.sound.tempos.push_back(*bpm);
  }
  return true;
}
bool read_paper(const Json& value, PackChoice& choice) {
  if (!value.is_string()) return false;
  const auto paper = sheet::parse_paper(value.get<std::string>());
  if (!paper || paper->kind != sheet::PaperKind::sheet) return false;
  choice.paper = lower(value.get<std::string>());
  return true;
}
bool read_minutes(const Json& value, PackChoice& choice) {
  return read_count(value, k_least_minutes, k_most_minutes, choice.plan.minutes_a_day);
}
bool read_days(const Json& value, PackChoice& choice) { return read_count(value, 1, k_most_days, choice.plan.days); }

/// One member of the page's choice.
struct Wish {
  std::string_view key;
  bool (*read)(const Json& value, PackChoice& choice);
};
constexpr std::array k_wishes = {
    Wish{"only", read_only},   Wish{"what", read_what},       Wish{"format", read_format}, Wish{"tempo", read_tempo},
    Wish{"paper", read_paper}, Wish{"minutes", read_minutes}, Wish{"days", read_days},
};

}  // namespace

std::optional<Rational> tempo_of(std::string_view text) {
  double number = 0.0;
  const auto read = read_decimal(text.data(), text.data() + text.size(), number);
  if (read.ec != std::errc() || read.ptr != text.data() + text.size()) return std::nullopt;
  const auto bpm = legal_tempo(number);
  return bpm ? std::optional(*bpm) : std::nullopt;
}

Json to_json(const PackChoice& choice) {
  Json tempos = Json::array();
  if (choice.sound.every_rung) tempos.push_back(k_ladder);
  for (const Rational& bpm : choice.sound.tempos) tempos.push_back(number_text(bpm.to_double()));
  return {{"only", names_of(choice.groups)},
          {"what", names_of(choice.sound.pieces)},
          {"format", names_of(choice.sound.formats)},
          {"tempo", tempos},
          {"paper", choice.paper},
          {"minutes", choice.plan.minutes_a_day},
          {"days", choice.plan.days}};
}

Result<PackChoice> with_wishes(PackChoice choice, const Json& wanted) {
  if (wanted.is_null()) return choice;
  const auto illegal = [](const std::string& what) {
    return Error{ErrorKind::range, 0, "A pack cannot be made with " + what + ".", ""};
  };
  if (!wanted.is_object()) return illegal("a choice that is no object");
  for (const auto& [key, value] : wanted.items()) {
    const auto wish = std::find_if(k_wishes.begin(), k_wishes.end(), [&](const Wish& row) { return row.key == key; });
    if (wish == k_wishes.end() || !wish->read(value, choice)) return illegal("this \"" + key + "\"");
  }
  return choice;
}

}  // namespace fretloom::studio
