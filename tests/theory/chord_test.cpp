#include "theory/chord.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <array>
#include <string>
#include <vector>

#include "base/text.h"

namespace fretloom {
namespace {

std::string tones(const std::string& text) {
  const auto chord = parse_chord(text);
  if (!chord.ok()) return "no chord: " + chord.error().what;
  std::vector<std::string> names;
  for (const Degree& tone : chord->tones) names.push_back(tone.name());
  return join(names, " ");
}

TEST(Chord, ReadsEveryWayOfWritingAQuality) {
  // Common practice, no source.
  for (const char* text : {"Cm7", "Cmin7", "CMin7", "Cmi7", "C-7"}) EXPECT_EQ(tones(text), "1 b3 5 b7") << text;
  for (const char* text : {"Cmaj7", "CMaj7", "Cma7", "CM7", "C\u0394", "C\u03947"})
    EXPECT_EQ(tones(text), "1 3 5 7") << text;
  for (const char* text : {"Cm7b5", "C-7b5", "C\u00F8", "C\u00F87", "Cm7(b5)", "Cm7-5"}) {
    EXPECT_EQ(tones(text), "1 b3 b5 b7") << text;
  }
  for (const char* text : {"Cdim7", "C\u00B07", "Co7"}) EXPECT_EQ(tones(text), "1 b3 b5 bb7") << text;
  for (const char* text : {"Caug", "C+", "C+5", "C(#5)"}) EXPECT_EQ(tones(text), "1 3 #5") << text;
  for (const char* text : {"Cm(maj7)", "Cm/maj7", "CmM7", "Cmmaj7", "C-\u0394"})
    EXPECT_EQ(tones(text), "1 b3 5 7") << text;
  for (const char* text : {"Cm(maj9)", "CmM9"}) EXPECT_EQ(tones(text), "1 b3 5 7 9") << text;
  for (const char* text : {"C6/9", "C69", "C6add9"}) EXPECT_EQ(tones(text), "1 3 5 6 9") << text;
  for (const char* text : {"Cadd9", "C2", "CMadd9", "Cadd2"}) EXPECT_EQ(tones(text), "1 3 5 9") << text;
  for (const char* text : {"Cmadd9", "Cm(add9)", "C-add9"}) EXPECT_EQ(tones(text), "1 b3 5 9") << text;
  for (const char* text : {"C7b9#9", "C7(b9,#9)"}) EXPECT_EQ(tones(text), "1 3 5 b7 b9 #9") << text;
}

TEST(Chord, LeavesOutWhatPlayersLeaveOut) {
  EXPECT_EQ(tones("C11"), "1 5 b7 9 11");
  EXPECT_EQ(tones("Cm11"), "1 b3 5 b7 9 11");
  EXPECT_EQ(tones("C13"), "1 3 5 b7 9 13");
  EXPECT_EQ(tones("C5"), "1 5");
  EXPECT_EQ(tones("C7no5"), "1 3 b7");
  EXPECT_EQ(tones("C7omit3"), "1 5 b7");
  EXPECT_EQ(tones("C7alt"), "1 3 #5 b7 #9");
}

TEST(Chord, TellsAFlatRootFromAFlatTone) {
  EXPECT_EQ(parse_chord("Bb5")->root.name(), "Bb");
  EXPECT_EQ(parse_chord("Bb5")->symbol(), "Bb5");
  EXPECT_EQ(parse_chord("B(b5)")->root.name(), "B");
  EXPECT_EQ(parse_chord("bb7")->symbol(), "Bb7");
  EXPECT_EQ(parse_chord("E\u266Dm7\u266D5")->symbol(), "Ebm7b5");
}

TEST(Chord, TellsABassFromANumber) {
  const auto chord = parse_chord("F#m7b5/E");
  ASSERT_TRUE(chord.ok());
  ASSERT_TRUE(chord->bass.has_value());
  EXPECT_EQ(chord->bass->name(), "E");
  EXPECT_EQ(chord->symbol(), "F#m7b5/E");
  EXPECT_FALSE(parse_chord("C6/9")->bass.has_value());
  EXPECT_FALSE(parse_chord("Cm/maj7")->bass.has_value());
  EXPECT_EQ(parse_chord("C6/9/E")->bass->name(), "E");
  EXPECT_EQ(parse_chord("C/Bb")->bass->name(), "Bb");
}

TEST(Chord, FindsAToneInAnyOctave) {
  const auto chord = parse_chord("A9");
  ASSERT_TRUE(chord.ok());
  EXPECT_EQ(chord->tone_at(2)->name(), "9");
  EXPECT_EQ(chord->tone_at(-10)->name(), "9");
  EXPECT_EQ(chord->tone_at(10)->name(), "b7");
  EXPECT_EQ(chord->tone_at(1), nullptr);
}

TEST(Chord, OffersTheNearestRepair) {
  struct Row {
    const char* text;
    std::size_t at;
    const char* repair;
  };
  constexpr std::array k_rows = {Row{"Xm9", 0, "Em9"},    Row{"", 0, "E"},           Row{"Em7b", 1, "Em7"},
                                 Row{"F#m77", 2, "F#m7"}, Row{"Cmajj7", 1, "Cmaj7"}, Row{"m7", 0, "Em7"}};
  for (const Row& row : k_rows) {
    const auto chord = parse_chord(row.text, "E");
    ASSERT_FALSE(chord.ok()) << row.text;
    EXPECT_EQ(chord.error().at, row.at) << row.text;
    EXPECT_EQ(chord.error().repair, row.repair) << row.text;
    EXPECT_TRUE(parse_chord(row.repair).ok()) << row.repair;
  }
}

TEST(Chord, RefusesWhatIsNoChord) {
  for (const char* text : {"C4", "Cm5", "C-5", "C#b7", "Cx", "C7b", "C7no7", "C/", "C/H", "C7/9x", "Em7b9z", "\xFF"}) {
    EXPECT_FALSE(parse_chord(text).ok()) << text << " is read as " << tones(text);
  }
}

RC_GTEST_PROP(Chord, NeverCrashesAndReadsItsOwnSymbol, ()) {
  const auto part =
      rc::gen::element<std::string>("m", "maj", "M", "dim", "7", "9", "11", "13", "6", "b5", "#9", "sus", "add", "4",
                                    "/E", "(", ")", "alt", "no", "3", "5", "+", "-", "b", "#");
  std::string text = "F#";
  for (const std::string& word : *rc::gen::container<std::vector<std::string>>(part)) text += word;
  const auto chord = parse_chord(text);
  if (!chord.ok()) return;
  const auto again = parse_chord(chord->symbol());
  RC_ASSERT(again.ok());
  RC_ASSERT(again->symbol() == chord->symbol());
  RC_ASSERT(again->tones == chord->tones);
  RC_ASSERT(!chord->tones.empty());
  RC_ASSERT(chord->tones.front() == (Degree{1, 0}));
  RC_ASSERT(std::is_sorted(chord->tones.begin(), chord->tones.end(),
                           [](const Degree& a, const Degree& b) { return a.semitones() < b.semitones(); }));
}

/// Written down by hand: how the usual symbols are set (common practice, no source).
TEST(Chord, PartsAreWhatATypesetterTellsApart) {
  const auto parts = [](const char* symbol) {
    const ChordParts p = chord_parts(parse_chord(symbol).value());
    return p.quality + "|" + p.extension + "|" + join(p.alterations, " ");
  };
  EXPECT_EQ(parts("C"), "||");
  EXPECT_EQ(parts("Em7"), "m|7|");
  EXPECT_EQ(parts("F#m7b5/E"), "m|7|b5");
  EXPECT_EQ(parts("Cmaj7"), "|maj7|");
  EXPECT_EQ(parts("Fbmaj9#11"), "|maj9|#11");
  EXPECT_EQ(parts("Am(maj7)"), "m|maj7|");
  EXPECT_EQ(parts("Am/maj7"), "m|maj7|");
  EXPECT_EQ(parts("G7(b9,b13)"), "|7|b9 b13");
  EXPECT_EQ(parts("D6/9"), "|6/9|");
  EXPECT_EQ(parts("A7sus4"), "|7sus4|");
  EXPECT_EQ(parts("Bdim7"), "dim|7|");
  EXPECT_EQ(parts("Caug"), "aug||");
  EXPECT_EQ(parts("C+"), "+||");
  EXPECT_EQ(parts("C7+"), "|7|#5");
  EXPECT_EQ(parts("Gadd9"), "|add9|");
  EXPECT_EQ(parts("Gmadd9"), "m|add9|");
  EXPECT_EQ(parts("E7alt"), "|7alt|");
  EXPECT_EQ(parts("C5"), "|5|");
  EXPECT_EQ(parts("Cno3"), "||no3");
}

/// Nothing of a suffix is lost, whatever is raised or bracketed.
TEST(Chord, PartsHoldTheWholeSymbol) {
  for (const std::string_view quality : chord_qualities()) {
    const ChordParts p = chord_parts(parse_chord("C" + std::string(quality)).value());
    EXPECT_EQ(p.quality + p.extension + join(p.alterations, ""), quality);
  }
}

}  // namespace
}  // namespace fretloom
