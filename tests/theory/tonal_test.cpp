// Scales, chords and frequencies against an independent library: npm tonal 6.4.3 (see
// tonal_values.mjs). Every value of the library is compared; where the two differ by convention the
// exception is listed here with its reason.

#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "base/text.h"
#include "theory/chord.h"
#include "theory/pitch.h"
#include "theory/scale.h"
#include "theory/tonal_table.h"

namespace fretloom {
namespace {

std::string spelled(const Key& key) {
  std::vector<std::string> names;
  for (int step = 0; step < key.size(); ++step) names.push_back(key.pitch(step).pitch_class.name());
  return join(names, " ");
}

/// Note names in alphabetical order: which octave a tone is thought in is no matter of spelling.
std::string as_set(std::vector<std::string> names) {
  std::sort(names.begin(), names.end());
  return join(names, " ");
}

std::vector<std::string> word_list(std::string_view text) {
  std::vector<std::string> list;
  for (const Word& word : words(text)) list.emplace_back(word.text);
  return list;
}

TEST(Tonal, IsThePinnedVersion) {
  const auto version = tonal_lines("version");
  ASSERT_EQ(version.size(), 1U) << "node or node_modules/tonal is missing: run scripts/setup.sh check";
  EXPECT_EQ(version.front(), (TonalLine{"version", "6.4.3"}));
}

/// Modes that the library spells otherwise, with its degrees.
const std::map<std::string_view, std::string_view> k_other_modes = {
    // Spelled there for its dominant chord (1 3 #4 with #9); here as the seventh mode of melodic
    // minor, every letter once.
    {"altered", "1 b2 #2 3 #4 b6 b7"},
    {"super locrian", "1 b2 #2 3 #4 b6 b7"},
    // Spelled there in augmented intervals up to #6; here with the b7 of the chord it is played over.
    {"whole tone", "1 2 3 #4 #5 #6"},
};

TEST(Tonal, SpellsTheModesThatBothKnow) {
  std::set<std::string> compared;
  for (const TonalLine& line : tonal_lines("mode")) {
    const std::string& name = line[1];
    if (find_mode(name) == nullptr) continue;
    const auto key = parse_key(line[2] + " " + name);
    ASSERT_TRUE(key.ok()) << line[2] << " " << name;
    if (const auto other = k_other_modes.find(name); other != k_other_modes.end()) {
      const auto there = make_key(key->tonic(), word_list(other->second));
      ASSERT_TRUE(there.ok()) << name;
      EXPECT_EQ(spelled(*there), line[3]) << line[2] << " " << name;
      // The same sounds, only spelled otherwise.
      for (int step = 0; step < key->size(); ++step) EXPECT_EQ(key->midi(step), there->midi(step)) << name;
    } else {
      EXPECT_EQ(spelled(*key), line[3]) << line[2] << " " << name;
    }
    compared.insert(name);
  }
  // Counted when the test was written; fewer means that a name was lost on one side.
  EXPECT_GE(compared.size(), 56U);
  for (const auto& [name, degrees] : k_other_modes) EXPECT_TRUE(compared.contains(std::string(name))) << name;
}

TEST(Tonal, SpellsEveryScaleByItsDegrees) {
  const auto lines = tonal_lines("scale");
  ASSERT_GT(lines.size(), 1800U);
  for (const TonalLine& line : lines) {
    const auto tonic = parse_pitch_class(line[1]);
    ASSERT_TRUE(tonic.ok());
    const auto key = make_key(*tonic, word_list(line[2]));
    ASSERT_TRUE(key.ok()) << line[2];
    EXPECT_EQ(spelled(*key), line[3]) << line[1] << " " << line[2];
  }
}

/// Symbols that the library reads otherwise, with our degrees.
const std::map<std::string_view, std::string_view> k_other_chords = {
    // A b13 or b6 stands beside the fifth here; there the fifth goes. A player who wants it gone writes "no5".
    {"7b13", "1 3 5 b7 b13"},
    {"9b13", "1 3 5 b7 9 b13"},
    {"M7b6", "1 3 5 b6 7"},
    {"mb6M7", "1 b3 5 b6 7"},
    {"mb6b9", "1 b3 5 b6 b9"},
    // "#5" is spelled as written here, as b6 there.
    {"m7#5", "1 b3 #5 b7"},
    {"m9#5", "1 b3 #5 b7 9"},
    // "b5" replaces the fifth here; there it is read as #11 above a perfect fifth.
    {"M6b5", "1 3 b5 6"},
    {"6b5", "1 3 b5 6"},
    {"7b5b13", "1 3 b5 b7 b13"},
    {"9b5b13", "1 3 b5 b7 9 b13"},
    {"7b5#9", "1 3 b5 b7 #9"},
    {"7#9b5", "1 3 b5 b7 #9"},
    {"7b5b9", "1 3 b5 b7 b9"},
    {"7b9b5", "1 3 b5 b7 b9"},
    {"7b5b9b13", "1 3 b5 b7 b9 b13"},
    // "maj" without a number is a triad here; there this one symbol has a seventh.
    {"maj#4", "1 3 5 #11"},
    // "add13" adds one tone here; there it brings the ninth along.
    {"M7add13", "1 3 5 7 13"},
    // Two sevenths in one symbol: the later one counts here; there the first is respelled as a sixth.
    {"o7M7", "1 b3 b5 7"},
};

/// Symbols of the library that are no symbols here.
const std::set<std::string_view> k_foreign_symbols = {
    // The caret for the triangle.
    "^", "^7", "^9", "^13", "^#5", "^7#5", "^7b6", "^7#11", "^9#11", "-^7", "-^9",
    // The letter h for the slashed o.
    "h", "h7",
    // Names of that library.
    "dom", "4", "quartal", "phryg", "alt7", "67", "m11A",
    // Quality after the number.
    "7aug"};

TEST(Tonal, SpellsEveryChord) {
  std::set<std::string> compared;
  std::set<std::string> foreign;
  for (const TonalLine& line : tonal_lines("chord")) {
    const std::string& symbol = line[2];
    if (symbol == "b9sus") continue;  // a flat after the letter belongs to the root: "Cb9sus"
    const auto chord = parse_chord(line[1] + symbol);
    EXPECT_NE(chord.ok(), k_foreign_symbols.contains(symbol)) << line[1] << symbol;
    if (!chord.ok()) {
      foreign.insert(symbol);
      continue;
    }
    std::vector<std::string> notes;
    std::vector<std::string> degrees;
    for (const Degree& tone : chord->tones) {
      notes.push_back(tone.above(chord->root).name());
      degrees.push_back(tone.name());
    }
    const bool same = as_set(notes) == as_set(word_list(line[3]));
    if (const auto other = k_other_chords.find(symbol); other != k_other_chords.end()) {
      EXPECT_EQ(join(degrees, " "), other->second) << line[1] << symbol;
      EXPECT_FALSE(same) << line[1] << symbol << " is listed as an exception but agrees";
    } else {
      EXPECT_TRUE(same) << line[1] << symbol << ": " << join(notes, " ") << " (" << join(degrees, " ") << "), there "
                        << line[3];
    }
    compared.insert(symbol);
  }
  EXPECT_GE(compared.size(), 192U);
}

TEST(Tonal, HasTheSameFrequencies) {
  const auto lines = tonal_lines("freq");
  ASSERT_EQ(lines.size(), 88U);
  for (const TonalLine& line : lines) {
    const double there = std::stod(line[2]);
    EXPECT_NEAR(frequency(std::stoi(line[1])).value / there, 1.0, 1e-12) << "MIDI " << line[1];
  }
}

}  // namespace
}  // namespace fretloom
