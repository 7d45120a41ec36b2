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

TEST(Harmony, ASixthRestsAsASeventhAndASusNoteAsAThird) {
  struct Rank {
    const char* chord;
    const char* note;
    int rank;
  };
  const std::vector<Rank> rows = {
      {"C6", "A4", 3},    {"Am6", "F#4", 3},  {"C6/9", "A4", 3},   {"C6/9", "D4", k_no_rest},
      {"Dsus4", "G4", 2}, {"Dsus2", "E4", 2}, {"A7sus4", "D4", 2}, {"A7sus4", "G4", 3},
      {"Dsus4", "E4", 4}, {"Dsus2", "G4", 4}, {"Cadd4", "F4", 4},  {"Cadd9", "D4", k_no_rest},
      {"E13", "C#4", 4},  {"Em9", "F#4", 4},  {"Bdim7", "G#4", 3}, {"Cb6", "Abb4", 4},
      {"C5", "D4", 4},    {"C/D", "D4", 4},   {"C/G", "G4", 1},    {"D/C", "C4", k_no_rest},
  };
  for (const Rank& row : rows) {
    const auto chord = parse_chord(row.chord);
    ASSERT_TRUE(chord.ok()) << row.chord;
    EXPECT_EQ(rest_rank(*chord, parse_pitch(row.note)->midi()), row.rank) << row.note << " on " << row.chord;
  }
}

TEST(Harmony, TheBassAfterASlashIsNoTension) {
  const Key key = *parse_key("C ionian");
  EXPECT_EQ(harmony(key, *parse_chord("C"), *parse_pitch("D4")).role, HarmonicRole::tension);
  const Harmony bass = harmony(key, *parse_chord("C/D"), *parse_pitch("D4"));
  EXPECT_EQ(bass.role, HarmonicRole::chord_tone);
  EXPECT_EQ(bass.degree, "2");
  // Nor is it an avoid note, although it lies a semitone above the third.
  EXPECT_EQ(harmony(key, *parse_chord("C"), *parse_pitch("F4")).role, HarmonicRole::avoid);
  EXPECT_EQ(harmony(key, *parse_chord("C/F"), *parse_pitch("F4")).role, HarmonicRole::chord_tone);
  // Outside the scale it sounds all the same, and a note a semitone above it rubs.
  EXPECT_EQ(harmony(key, *parse_chord("C/Bb"), *parse_pitch("Bb3")).role, HarmonicRole::chord_tone);
  const Key dorian = *parse_key("A dorian");
  EXPECT_EQ(harmony(dorian, *parse_chord("Am"), *parse_pitch("G4")).role, HarmonicRole::tension);
  EXPECT_EQ(harmony(dorian, *parse_chord("Am/F#"), *parse_pitch("G4")).role, HarmonicRole::avoid);
}

TEST(Harmony, ChordToneWords) {
  const std::vector<std::pair<const char*, const char*>> rows = {{"1", "root"}, {"b3", "3rd"}, {"5", "5th"},
                                                                 {"b7", "7th"}, {"2", "2nd"},  {"4", "4th"},
                                                                 {"6", "6th"},  {"9", "9th"},  {"#11", "#11"}};
  for (const auto& [degree, word] : rows) EXPECT_EQ(chord_tone_word(*parse_degree(degree)), word);
}

}  // namespace
}  // namespace fretloom
