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

void BandArguments::add_to(Arguments& arguments, std::string_view usual) {
  arguments.option("--band", band,
                   "Whether a band plays with the lick: no, yes, or both; " + std::string(usual) + " if left out",
                   "NAME");
  arguments.option("--intensity", intensity, "How much the band plays: sparse, medium or full; medium if left out",
                   "NAME");
  arguments.option("--seed", seed, "Another number plays other fills and bass lines, 1 to 1000000; 1 if left out", "N");
}

bool read_band(const BandArguments& arguments, SoundChoice& target) {
  int seed = 1;
  if (!arguments.band.empty()) {
    const std::string word = lower(trim(arguments.band));
    if (word == "no") target.backings = {Backing::none};
    if (word == "yes") target.backings = {Backing::band};
    if (word == "both") target.backings = {Backing::none, Backing::band};
    if (word != "no" && word != "yes" && word != "both") {
      fail("--band cannot be \"" + arguments.band + "\"; write no, yes or both");
      return false;
    }
  }
  if (!arguments.intensity.empty()) {
    const auto intensity = parse_intensity(arguments.intensity);
    if (!intensity) {
      fail("--intensity cannot be \"" + arguments.intensity + "\"; write sparse, medium or full");
      return false;
    }
    target.band.intensity = *intensity;
  }
  if (!read_count("seed", arguments.seed, 1, 1'000'000, seed)) return false;
  target.band.seed = static_cast<std::uint32_t>(seed);
  const auto plays = [&](Backing backing) { return backing == Backing::band; };
  const bool has_band = std::any_of(target.backings.begin(), target.backings.end(), plays) ||
                        std::find(target.pieces.begin(), target.pieces.end(), Piece::band) != target.pieces.end();
  if (!has_band) return true;
  target.samples = usual_samples();
  return true;
}

std::shared_ptr<BandSamples> usual_samples() {
  auto samples = std::make_shared<BandSamples>();
  const auto there = samples->check();
  if (there) return samples;
  std::fprintf(stderr, "warning: %s; the band plays without them\n", there.error().what.c_str());
  return nullptr;
}

}  // namespace fretloom
