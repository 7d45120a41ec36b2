#pragma once
// Values of options: lists of words and numbers, with a message where one is not legal.

#include <algorithm>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/rational.h"
#include "base/text.h"
#include "cli/command.h"
#include "sound/jobs.h"

namespace fretloom {

/// Reads words parted by commas, each by `parse`; false and a message if one of them is none of `legal`.
template <class T>
bool read_words(const std::string& option, const std::string& text, std::optional<T> (*parse)(std::string_view),
                const std::string& legal, std::vector<T>& target) {
  target.clear();
  for (const std::string_view word : split(text, ',')) {
    const auto value = parse(trim(word));
    if (!value) {
      fail("--" + option + " cannot be \"" + std::string(trim(word)) + "\"; choose from " + legal);
      return false;
    }
    if (std::find(target.begin(), target.end(), *value) == target.end()) target.push_back(*value);
  }
  return true;
}

/// The whole text as a decimal number, or nothing.
std::optional<double> parse_number(std::string_view text);

/// Tempos parted by commas, none if the text is empty; false and a message if one is not legal.
bool read_tempos(const std::string& option, const std::string& text, std::vector<Rational>& target);

/// The same of --tempo for sound, which may be the word "ladder" instead: every rung of each idea.
bool read_sound_tempos(const std::string& text, SoundChoice& target);

/// The options that say how a band plays: with the lick or not, how much, by which seed.
struct BandArguments {
  std::string band;
  std::string intensity;
  std::optional<int> seed;
  void add_to(Arguments& arguments, std::string_view usual);
};
/// Into a choice of sound, with the sounds of drums and keys where a band plays; a warning where those are not there.
/// False and a message if a value is not legal. `target.pieces` is read before.
bool read_band(const BandArguments& arguments, SoundChoice& target);

/// The usual sounds of drums and keys; nothing, and a warning, where they are not there.
std::shared_ptr<BandSamples> usual_samples();

/// A whole number of low to high, where one is given; false and a message if it is not.
bool read_count(const std::string& option, const std::optional<int>& given, int low, int high, int& target);

}  // namespace fretloom
