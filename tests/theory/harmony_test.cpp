// How scale notes sit on chords.

#include "theory/harmony.h"

#include <gtest/gtest.h>

#include <string>
#include <vector>

namespace fretloom {
namespace {

/// Degrees of a mode that are avoid notes on a chord over its tonic.
std::vector<std::string> avoided(const Key& key, const std::string& quality) {
  const auto chord = parse_chord(key.tonic().name() + quality);
  EXPECT_TRUE(chord.ok()) << key.name() << quality;
  std::vector<std::string> found;
  for (int step = 0; step < key.size(); ++step) {
    if (harmony(key, *chord, key.pitch(step)).role == HarmonicRole::avoid) found.push_back(key.degree(step).name());
  }
  return found;
}

struct Row {
  const char* mode;
  const char* quality;
  std::vector<std::string> avoid;
};

TEST(Harmony, AvoidNotesOfEachModeOnItsOwnSeventhChord) {
  // A scale note a semitone above a chord tone (common practice; worked out outside the program).
  const std::vector<Row> rows = {
      {"ionian", "maj7", {"4"}},  {"dorian", "m7", {}},      {"phrygian", "m7", {"b2", "b6"}}, {"lydian", "maj7", {}},
      {"mixolydian", "7", {"4"}}, {"aeolian", "m7", {"b6"}}, {"locrian", "m7b5", {"b2"}},
  };
  for (const char* tonic : {"C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}) {
    for (const Row& row : rows) {
      const auto key = parse_key(std::string(tonic) + " " + row.mode);
      ASSERT_TRUE(key.ok());
      EXPECT_EQ(avoided(*key, row.quality), row.avoid) << key->name();
    }
  }
}

TEST(Harmony, TheFlatNineOfADominantIsNoAvoidNote) {
  const Key key = *parse_key("E phrygian dominant");
  EXPECT_EQ(avoided(key, "7"), (std::vector<std::string>{"4", "b6"}));
  EXPECT_EQ(harmony(key, *parse_chord("E7"), *parse_pitch("F4")).role, HarmonicRole::tension);
  // On a chord that is no dominant the same note is one.
  EXPECT_EQ(harmony(key, *parse_chord("Emaj7"), *parse_pitch("F4")).role, HarmonicRole::avoid);
}

TEST(Harmony, ChordTonesAndOutsideNotes) {
  const Key key = *parse_key("E dorian");
  const Chord a7 = *parse_chord("A7");
  const Harmony third = harmony(key, a7, *parse_pitch("C#5"));
  EXPECT_EQ(third.role, HarmonicRole::chord_tone);
  EXPECT_EQ(third.degree, "3");
  EXPECT_EQ(harmony(key, a7, *parse_pitch("F4")).role, HarmonicRole::outside);
  EXPECT_EQ(harmony(key, a7, *parse_pitch("F4")).degree, "b6");
  // A chord tone outside the key is still a chord tone.
  EXPECT_EQ(harmony(key, *parse_chord("E7"), *parse_pitch("G#4")).role, HarmonicRole::chord_tone);
}

TEST(Harmony, RestRanksRootFifthThirdSeventhOthers) {
  const Chord chord = *parse_chord("Em7");
  // E B G D, then F#.
  const std::vector<int> midi = {52, 59, 55, 62, 54};
  for (std::size_t i = 0; i < midi.size(); ++i) EXPECT_EQ(rest_rank(chord, midi[i]), static_cast<int>(i));
}

}  // namespace
}  // namespace fretloom
