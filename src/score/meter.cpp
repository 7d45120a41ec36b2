#include "score/meter.h"

#include <algorithm>
#include <numeric>

#include "base/text.h"
#include "score/limits.h"

namespace fretloom {

namespace {

Error no_meter(std::string_view text, std::string repair) {
  return {ErrorKind::syntax, 0,
          "\"" + std::string(text) + "\" is not a meter; write 1 to " + std::to_string(k_max_meter_beats) +
              " beats over 2, 4, 8 or 16, as in \"4/4\", \"6/8\" or \"2+2+3/8\"",
          std::move(repair)};
}

/// "3:4" and "6-8" as 3/4 and 6/8, else 4/4.
std::string mended_meter(std::string_view text) {
  std::string mended(trim(text));
  std::replace_if(
      mended.begin(), mended.end(), [](char c) { return c == ':' || c == '-' || c == ' '; }, '/');
  return split(mended, '/').size() == 2 && parse_meter(mended).ok() ? mended : "4/4";
}

}  // namespace

int Meter::numerator() const { return std::accumulate(groups.begin(), groups.end(), 0); }

bool Meter::is_compound() const {
  if (is_additive() || (denominator != 8 && denominator != 16)) return false;
  const int n = numerator();
  return n == 6 || n == 9 || n == 12;
}

int Meter::beats_per_bar() const { return is_compound() ? numerator() / 3 : numerator(); }

Rational Meter::beat_value() const { return {is_compound() ? 3 : 1, denominator}; }

std::vector<int> Meter::strong_beats() const {
  if (is_additive()) {
    std::vector<int> starts;
    int beat = 0;
    for (const int group : groups) {
      starts.push_back(beat);
      beat += group;
    }
    return starts;
  }
  if (numerator() == 4 && denominator == 4) return {0, 2};
  return {0};
}

std::string Meter::name() const {
  std::string text;
  for (const int group : groups) text += (text.empty() ? "" : "+") + std::to_string(group);
  return text + "/" + std::to_string(denominator);
}

Result<Meter> parse_meter(std::string_view text) {
  const auto halves = split(trim(text), '/');
  if (halves.size() != 2) return no_meter(text, mended_meter(text));
  Meter meter;
  meter.groups.clear();
  for (const std::string_view part : split(halves[0], '+')) {
    const auto group = parse_int(trim(part));
    if (!group || *group < 1 || *group > k_max_meter_beats) return no_meter(text, "4/4");
    meter.groups.push_back(*group);
  }
  if (meter.groups.size() > k_max_meter_beats || meter.numerator() > k_max_meter_beats) return no_meter(text, "4/4");
  const auto denominator = parse_int(trim(halves[1]));
  if (!denominator || (*denominator != 2 && *denominator != 4 && *denominator != 8 && *denominator != 16)) {
    meter.denominator = denominator && *denominator > 5 ? (*denominator > 11 ? 16 : 8) : 4;
    return no_meter(text, meter.name());
  }
  meter.denominator = *denominator;
  return meter;
}

std::optional<TupletRatio> tuplet_ratio(const Meter& meter, int notes_per_beat) {
  const int k = notes_per_beat;
  if (meter.is_compound()) {
    if (k == 1 || k == 3 || k == 6 || k == 12) return std::nullopt;
    return TupletRatio{k, k < 6 ? 3 : 6};
  }
  int power = 1;
  while (power * 2 <= k) power *= 2;
  if (power == k) return std::nullopt;
  return TupletRatio{k, power};
}

Rational written_value(const Meter& meter, int notes_per_beat) {
  const auto ratio = tuplet_ratio(meter, notes_per_beat);
  return meter.beat_value() / Rational(ratio ? ratio->normal : notes_per_beat);
}

std::int64_t bar_of(const Meter& meter, const Beats& beat) {
  return (beat.value / Rational(meter.beats_per_bar())).floor() + 1;
}

Beats beat_in_bar(const Meter& meter, const Beats& beat) {
  return Beats(beat.value - Rational((bar_of(meter, beat) - 1) * meter.beats_per_bar()));
}

}  // namespace fretloom
