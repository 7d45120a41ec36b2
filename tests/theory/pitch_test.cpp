#include "theory/pitch.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <array>
#include <string>

namespace fretloom {
namespace {

TEST(Pitch, HasTheHandbooksFrequencies) {
  // CRC Handbook of Chemistry and Physics, section 14-22; half a unit of the last digit.
  EXPECT_NEAR(frequency(40).value, 82.407, 0.0005);  // E2
  EXPECT_NEAR(frequency(60).value, 261.63, 0.005);   // C4
  EXPECT_NEAR(frequency(64).value, 329.63, 0.005);   // E4
  EXPECT_NEAR(frequency(88).value, 1318.51, 0.005);  // E6
  EXPECT_DOUBLE_EQ(frequency(69).value, 440.0);      // ISO 16:1975
}

TEST(Pitch, HasStandardTuning) {
  // Thick to thin: names are common practice, frequencies twelve-tone equal temperament at A4 = 440 Hz.
  struct Row {
    const char* name;
    int midi;
    double hertz;
  };
  constexpr std::array k_rows = {Row{"E2", 40, 82.41},  Row{"A2", 45, 110.00}, Row{"D3", 50, 146.83},
                                 Row{"G3", 55, 196.00}, Row{"B3", 59, 246.94}, Row{"E4", 64, 329.63}};
  for (const Row& row : k_rows) {
    const auto pitch = parse_pitch(row.name);
    ASSERT_TRUE(pitch.ok()) << row.name;
    EXPECT_EQ(pitch->midi(), row.midi) << row.name;
    EXPECT_NEAR(frequency(pitch->midi()).value, row.hertz, 0.005) << row.name;
  }
}

TEST(Pitch, CountsTheOctaveByTheLetter) {
  // Scientific pitch notation, common practice.
  EXPECT_EQ(parse_pitch("B#3")->midi(), 60);
  EXPECT_EQ(parse_pitch("Cb4")->midi(), 59);
  EXPECT_EQ(parse_pitch("C4")->midi(), 60);
  EXPECT_EQ(parse_pitch("B##3")->midi(), 61);
  EXPECT_EQ(parse_pitch("Cbb4")->midi(), 58);
  EXPECT_EQ(parse_pitch("C-1")->midi(), 0);
  EXPECT_EQ(parse_pitch("G9")->midi(), 127);
  EXPECT_EQ(parse_pitch("C4")->diatonic(), 28);
  EXPECT_EQ(parse_pitch("B#3")->diatonic(), 27);
}

TEST(Pitch, ReadsCaseAndSigns) {
  EXPECT_EQ(parse_pitch_class("e")->name(), "E");
  EXPECT_EQ(parse_pitch_class(" bb ")->name(), "Bb");
  EXPECT_EQ(parse_pitch_class("b")->name(), "B");
  EXPECT_EQ(parse_pitch_class("bbb")->name(), "Bbb");
  EXPECT_EQ(parse_pitch_class("F\u266F")->name(), "F#");
  EXPECT_EQ(parse_pitch_class("E\u266D")->name(), "Eb");
  EXPECT_EQ(parse_pitch_class("G\U0001D12A")->name(), "G##");
  EXPECT_EQ(parse_pitch_class("A\u266E")->name(), "A");
  EXPECT_EQ(parse_pitch("bb-1")->name(), "Bb-1");
  EXPECT_EQ(parse_pitch("f\u266F3")->name(), "F#3");
}

TEST(Pitch, RefusesWhatIsNoNote) {
  for (const char* text : {"", " ", "H", "E###", "Ebbb", "C#b", "Cb#", "EE", "E dorian", "4", "#", "\u266F", "\xFF"}) {
    EXPECT_FALSE(parse_pitch_class(text).ok()) << text;
  }
  for (const char* text : {"", "E", "E10", "E-2", "E+2", "E 2", "E2x", "H2", "2E", "E99999999999", "E2.5"}) {
    EXPECT_FALSE(parse_pitch(text).ok()) << text;
  }
  const auto error = parse_pitch_class("H").error();
  EXPECT_EQ(error.kind, ErrorKind::syntax);
  EXPECT_NE(error.what.find("\"H\""), std::string::npos);
  EXPECT_NE(parse_pitch("E10").error().what.find("-1 to 9"), std::string::npos);
}

TEST(Degree, ReadsAndPrints) {
  for (const char* text : {"1", "b3", "#4", "bb7", "##5", "9", "b9", "#11", "13"}) {
    const auto degree = parse_degree(text);
    ASSERT_TRUE(degree.has_value()) << text;
    EXPECT_EQ(degree->name(), text);
  }
  EXPECT_EQ(parse_degree("\u266D3"), (Degree{3, -1}));
  for (const char* text :
       {"", "b", "0", "03", "14", "-1", "3b", "b#3", "bbb3", "###1", "b 3", "3 4", "x", "99999999999"}) {
    EXPECT_FALSE(parse_degree(text).has_value()) << text;
  }
}

TEST(Degree, LiesAboveItsRoot) {
  EXPECT_EQ((Degree{3, -1}.semitones()), 3);
  EXPECT_EQ((Degree{7, -2}.semitones()), 9);
  EXPECT_EQ((Degree{9, -1}.semitones()), 13);
  EXPECT_EQ((Degree{11, 1}.semitones()), 18);
  EXPECT_EQ((Degree{13, 0}.semitones()), 21);
  EXPECT_EQ((Degree{3, 0}.above({2, 0}).name()), "G#");    // E
  EXPECT_EQ((Degree{7, -2}.above({0, 0}).name()), "Bbb");  // C dim7
  EXPECT_EQ((Degree{9, 1}.above({6, 1}).name()), "C###");  // B#7#9
  EXPECT_EQ((Degree{4, 0}.above({3, -1}).name()), "Bbb");  // Fb
}

RC_GTEST_PROP(Pitch, ReadsWhatItPrints, ()) {
  const SpelledPitch pitch{{*rc::gen::inRange(0, 7), *rc::gen::inRange(-2, 3)}, *rc::gen::inRange(-1, 10)};
  const auto read = parse_pitch(pitch.name());
  RC_ASSERT(read.ok());
  RC_ASSERT(read.value() == pitch);
}

RC_GTEST_PROP(Pitch, NeverCrashesOnAnyText, (const std::string& text)) {
  const auto pitch = parse_pitch(text);
  RC_ASSERT((!pitch.ok() || parse_pitch(pitch->name()).ok()));
}

RC_GTEST_PROP(Pitch, SpellsEveryMidiNote, ()) {
  const int midi = *rc::gen::inRange(0, 128);
  RC_ASSERT(spell_sharp(midi).midi() == midi);
}

RC_GTEST_PROP(Degree, SoundsAsFarAboveTheRootAsItSays, ()) {
  const PitchClass root{*rc::gen::inRange(0, 7), *rc::gen::inRange(-2, 3)};
  const Degree degree{*rc::gen::inRange(1, 14), *rc::gen::inRange(-2, 3)};
  const PitchClass note = degree.above(root);
  RC_ASSERT(floor_mod(note.semitones() - root.semitones() - degree.semitones(), 12) == 0);
  RC_ASSERT(note.letter == (root.letter + degree.number - 1) % 7);
}

TEST(Pitch, SpellsWithSharps) {
  EXPECT_EQ(spell_sharp(61).name(), "C#4");
  EXPECT_EQ(spell_sharp(59).name(), "B3");
  EXPECT_EQ(spell_sharp(0).name(), "C-1");
}

}  // namespace
}  // namespace fretloom
