#include "theory/scale.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <array>
#include <set>
#include <string>
#include <vector>

#include "base/text.h"
#include "theory/chord.h"

namespace fretloom {
namespace {

Key key_of(const std::string& text) {
  const auto key = parse_key(text);
  EXPECT_TRUE(key.ok()) << text;
  return key.ok() ? key.value() : Key({0, 0}, "ionian", {{1, 0}});
}

std::vector<std::string> spelling(const Key& key) {
  std::vector<std::string> names;
  for (int step = 0; step < key.size(); ++step) names.push_back(key.pitch(step).pitch_class.name());
  return names;
}

TEST(Key, ReadsTonicAndMode) {
  EXPECT_EQ(key_of("E dorian").name(), "E dorian");
  EXPECT_EQ(key_of("  e   DORIAN ").name(), "E dorian");
  EXPECT_EQ(key_of("E").name(), "E ionian");
  EXPECT_EQ(key_of("E minor").name(), "E aeolian");
  EXPECT_EQ(key_of("c# Minor Pentatonic").name(), "C# minor pentatonic");
  EXPECT_EQ(key_of("E\u266D dorian \u266D2").name(), "Eb dorian b2");
  EXPECT_EQ(key_of("B locrian \u266E6").name(), "B locrian natural 6");
  EXPECT_EQ(key_of("bb lydian").name(), "Bb lydian");
}

TEST(Key, OffersTheNearestRepair) {
  struct Row {
    const char* text;
    std::size_t at;
    const char* repair;
  };
  constexpr std::array k_rows = {Row{"", 0, "C ionian"},
                                 Row{"H dorian", 0, "B dorian"},
                                 Row{"E doiran", 2, "E dorian"},
                                 Row{"Em", 0, "E minor"},
                                 Row{"f#m", 0, "F# minor"},
                                 Row{"E  mixolidian", 3, "E mixolydian"},
                                 Row{"Am pentatonic", 0, "A minor pentatonic"},
                                 Row{"F#-moll", 0, "F# minor"},
                                 Row{"E-dorian", 0, "E dorian"},
                                 Row{"Hb", 0, "Bb ionian"},
                                 Row{"Fis dur", 0, "F# major"},
                                 Row{"Es", 0, "Eb ionian"},
                                 Row{"E dorian mode", 2, "E dorian"},
                                 Row{"dorian", 0, "C dorian"},
                                 Row{"E qqqqqq", 2, ""},
                                 Row{"Minor Pentatonic", 0, "C minor pentatonic"}};
  for (const Row& row : k_rows) {
    const auto key = parse_key(row.text);
    ASSERT_FALSE(key.ok()) << row.text;
    EXPECT_EQ(key.error().at, row.at) << row.text;
    EXPECT_EQ(key.error().repair, row.repair) << row.text;
    EXPECT_TRUE(*row.repair == '\0' || parse_key(row.repair).ok()) << row.repair;
  }
}

TEST(Key, TakesAScaleByDegrees) {
  const std::vector<std::string> dorian = {"1", "2", "b3", "4", "5", "6", "b7"};
  EXPECT_EQ(make_key({2, 0}, dorian)->name(), "E dorian");
  const std::vector<std::string> own = {"1", "\u266D3", "5"};
  EXPECT_EQ(make_key({2, 0}, own)->name(), "E 1 b3 5");
}

TEST(Key, RefusesWhatIsNoScale) {
  struct Row {
    std::vector<std::string> degrees;
    std::size_t at;
    ErrorKind kind;
  };
  const std::vector<Row> rows = {
      {{}, 0, ErrorKind::range},
      {{"1"}, 0, ErrorKind::range},
      {{"2", "3"}, 0, ErrorKind::range},
      {{"b2", "3"}, 0, ErrorKind::range},
      {{"bb2", "3"}, 0, ErrorKind::range},  // sounds as 1 but is not spelled so
      {{"1", "3", "2"}, 2, ErrorKind::range},
      {{"1", "3", "b4"}, 2, ErrorKind::range},  // the same note twice
      {{"1", "2", "x"}, 2, ErrorKind::syntax},
      {{"1", "9"}, 1, ErrorKind::syntax},
      {{"1", "7", "##7"}, 2, ErrorKind::range},
      {{"1", "#7"}, 1, ErrorKind::range},
      {std::vector<std::string>(13, "1"), 0, ErrorKind::range},
  };
  for (const Row& row : rows) {
    const auto key = make_key({2, 0}, row.degrees);
    ASSERT_FALSE(key.ok()) << join(row.degrees, " ");
    EXPECT_EQ(key.error().at, row.at) << join(row.degrees, " ");
    EXPECT_EQ(key.error().kind, row.kind) << join(row.degrees, " ");
  }
}

TEST(Key, SpellsAcrossTheOctave) {
  // B# ionian has double sharps and the octave number stays with the letter.
  const Key key = key_of("B# ionian");
  EXPECT_EQ(key.pitch(0).name(), "B#0");
  EXPECT_EQ(key.pitch(1).name(), "C##1");
  EXPECT_EQ(key.pitch(7).name(), "B#1");
  EXPECT_EQ(key.pitch(-1).name(), "A##0");
  EXPECT_EQ(key_of("Cb ionian").pitch(0).midi(), 11);
  EXPECT_EQ(key_of("E dorian").pitch(14).name(), "E2");
}

TEST(Key, KnowsItsNotes) {
  const Key key = key_of("E dorian");
  EXPECT_TRUE(key.contains(40));
  EXPECT_FALSE(key.contains(41));
  EXPECT_EQ(key.step_at_or_above(41), key.step_at_or_above(42));
  EXPECT_EQ(key.degree(-1).name(), "b7");
}

TEST(Key, HasTheSignaturesOfTheCircleOfFifths) {
  // All fifteen major and minor keys, common practice.
  constexpr std::array k_major = {"Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#"};
  constexpr std::array k_minor = {"Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#", "G#", "D#", "A#"};
  for (int i = 0; i < 15; ++i) {
    const auto row = static_cast<std::size_t>(i);
    EXPECT_EQ(key_signature(key_of(std::string(k_major[row]) + " major")), i - 7) << k_major[row];
    for (const char* kind : {" minor", " harmonic minor", " melodic minor"}) {
      EXPECT_EQ(key_signature(key_of(std::string(k_minor[row]) + kind)), i - 7) << k_minor[row] << kind;
    }
  }
}

TEST(Key, SharesTheSignatureAmongTheModesOfAMajorScale) {
  constexpr std::array k_modes = {"ionian", "dorian", "phrygian", "lydian", "mixolydian", "aeolian", "locrian"};
  for (const char* tonic : {"Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#"}) {
    const Key major = key_of(std::string(tonic) + " major");
    for (int step = 0; step < 7; ++step) {
      const Key mode = key_of(major.pitch(step).pitch_class.name() + " " + k_modes[static_cast<std::size_t>(step)]);
      EXPECT_EQ(key_signature(mode), key_signature(major)) << mode.name();
    }
  }
  EXPECT_EQ(key_signature(key_of("E dorian")), 2);
  EXPECT_EQ(key_signature(key_of("B phrygian")), 1);
}

TEST(Key, SignsScalesThatAreNoModeOfMajor) {
  EXPECT_EQ(key_signature(key_of("E phrygian dominant")), 0);  // G# stays an accidental; common practice
  EXPECT_EQ(key_signature(key_of("A minor pentatonic")), 0);
  EXPECT_EQ(key_signature(key_of("E minor blues")), 1);
  EXPECT_EQ(key_signature(key_of("A major pentatonic")), 3);
  EXPECT_EQ(key_signature(key_of("C chromatic")), 0);
}

TEST(Key, AltersLettersInTheOrderOfTheSignature) {
  // Sharps F C G D A E B, flats the other way; common practice.
  constexpr std::array k_order = {3, 0, 4, 1, 5, 2, 6};
  for (int fifths = -7; fifths <= 7; ++fifths) {
    for (int place = 0; place < 7; ++place) {
      const int letter = k_order[static_cast<std::size_t>(place)];
      const int expected = place < fifths ? 1 : place >= 7 + fifths ? -1 : 0;
      EXPECT_EQ(signature_alter(fifths, letter), expected) << fifths << " " << letter;
    }
  }
}

TEST(Modes, UseEveryLetterOnceWhenTheyHaveSevenNotes) {
  int checked = 0;
  for (const Mode& mode : modes()) {
    for (const char* tonic : {"C", "F#", "Cb", "B#"}) {
      const Key key = key_of(std::string(tonic) + " " + std::string(mode.name));
      if (key.size() != 7) continue;
      std::set<char> letters;
      for (const std::string& name : spelling(key)) letters.insert(name.front());
      EXPECT_EQ(letters.size(), 7U) << key.name();
      ++checked;
    }
  }
  EXPECT_GE(checked, 4 * 25);
}

TEST(Modes, HaveUniqueNamesThatLeadToThem) {
  std::set<std::string_view> names;
  std::set<std::string_view> degrees;
  for (const Mode& mode : modes()) {
    EXPECT_TRUE(names.insert(mode.name).second) << mode.name;
    EXPECT_TRUE(degrees.insert(mode.degrees).second) << mode.name;
    EXPECT_EQ(find_mode(mode.name), &mode);
    for (const std::string_view alias : split(mode.aliases, ',')) {
      if (alias.empty()) continue;
      EXPECT_TRUE(names.insert(alias).second) << alias;
      EXPECT_EQ(find_mode(alias), &mode) << alias;
    }
    // Given by its degrees the scale is found again.
    std::vector<std::string> list;
    for (const Word& word : words(mode.degrees)) list.emplace_back(word.text);
    const auto key = make_key({0, 0}, list);
    ASSERT_TRUE(key.ok()) << mode.name;
    EXPECT_EQ(key->mode(), mode.name);
  }
  EXPECT_EQ(find_mode(""), nullptr);
  EXPECT_EQ(find_mode("minor,natural minor"), nullptr);
}

TEST(Modes, HaveVampsOfTheirOwnNotes) {
  for (const Mode& mode : modes()) {
    const Key key = key_of("C " + std::string(mode.name));
    const auto bars = split(mode.vamp, '|');
    EXPECT_EQ(bars.size(), 2U) << mode.name;
    for (const std::string_view bar : bars) {
      const auto parts = words(bar);
      ASSERT_EQ(parts.size(), 2U) << mode.name;
      const auto root = parse_degree(parts[0].text);
      ASSERT_TRUE(root.has_value()) << mode.name;
      const auto chord = parse_chord(root->above({0, 0}).name() + std::string(parts[1].text));
      ASSERT_TRUE(chord.ok()) << mode.name << " " << parts[1].text;
      // A scale of five or six notes is played over chords of the larger scale it is taken from.
      if (key.size() < 7) continue;
      for (const Degree& tone : chord->tones) {
        EXPECT_TRUE(key.contains(60 + root->semitones() + tone.semitones())) << mode.name << " " << chord->symbol();
      }
    }
  }
}

Key any_key() {
  const PitchClass tonic{*rc::gen::inRange(0, 7), *rc::gen::inRange(-1, 2)};
  const Mode& mode = modes()[static_cast<std::size_t>(*rc::gen::inRange(0, static_cast<int>(modes().size())))];
  return parse_key(tonic.name() + " " + std::string(mode.name)).value();
}

RC_GTEST_PROP(Key, FindsTheStepOfEveryNote, ()) {
  const Key key = any_key();
  const int step = *rc::gen::inRange(-60, 130);
  RC_ASSERT(key.step_at_or_above(key.midi(step)) == step);
  RC_ASSERT(key.contains(key.midi(step)));
  const int midi = *rc::gen::inRange(-40, 200);
  const int found = key.step_at_or_above(midi);
  RC_ASSERT(key.midi(found) >= midi);
  RC_ASSERT(key.midi(found - 1) < midi);
}

RC_GTEST_PROP(Key, SpellsWhatSounds, ()) {
  const Key key = any_key();
  const int step = *rc::gen::inRange(-60, 130);
  RC_ASSERT(key.pitch(step).midi() == key.midi(step));
  RC_ASSERT(key.midi(step + key.size()) == key.midi(step) + 12);
}

RC_GTEST_PROP(Key, MovesWithItsTonic, ()) {
  const Key key = any_key();
  const PitchClass tonic{*rc::gen::inRange(0, 7), *rc::gen::inRange(-1, 2)};
  const Key moved = parse_key(tonic.name() + " " + key.mode()).value();
  const int step = *rc::gen::inRange(-60, 130);
  RC_ASSERT(moved.midi(step) - key.midi(step) == tonic.semitones() - key.tonic().semitones());
}

RC_GTEST_PROP(Key, ReadsItsOwnName, ()) {
  const Key key = any_key();
  RC_ASSERT(parse_key(key.name()).value() == key);
}

RC_GTEST_PROP(Key, NeverCrashesOnAnyText, (const std::string& text, const std::vector<std::string>& degrees)) {
  const auto key = parse_key(text);
  RC_ASSERT((!key.ok() || parse_key(key->name()).ok()));
  const auto made = make_key({0, 0}, degrees);
  RC_ASSERT((!made.ok() || made->size() == static_cast<int>(degrees.size())));
}

}  // namespace
}  // namespace fretloom
