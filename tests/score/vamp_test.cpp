// The vamp's reader, and that it reads every vamp of our own.

#include "score/vamp.h"

#include <gtest/gtest.h>

namespace fretloom {
namespace {

TEST(Vamp, AnEmptyBarIsShownWhereItStands) {
  struct Case {
    const char* text;
    std::size_t at;
    const char* repair;
  };
  for (const auto& [text, at, repair] :
       {Case{"Em7 | | A7", 5, "Em7 | % | A7"}, Case{"Em7 || A7", 5, "Em7 | % | A7"}, Case{"| | A7", 1, "| E | A7"},
        Case{"Em7 |   |", 6, "Em7 | % |"}, Case{"Em7 | | | A7", 5, "Em7 | % | % | A7"}, Case{"  ", 0, "E"}}) {
    SCOPED_TRACE(text);
    const auto vamp = parse_vamp(text, *parse_meter("4/4"), "E");
    ASSERT_FALSE(vamp.ok());
    EXPECT_EQ(vamp.error().at, at);
    EXPECT_EQ(vamp.error().repair, repair);
    EXPECT_TRUE(parse_vamp(vamp.error().repair, *parse_meter("4/4"), "E").ok());
  }
}

TEST(Vamp, EveryKeysOwnVampCanBeRead) {
  for (const Mode& mode : modes()) {
    for (int letter = 0; letter < 7; ++letter) {
      for (int alter = -2; alter <= 2; ++alter) {
        const Key key = *parse_key(PitchClass{letter, alter}.name() + " " + std::string(mode.name));
        const auto vamp = parse_vamp(default_vamp(key), *parse_meter("4/4"));
        ASSERT_TRUE(vamp.ok()) << key.name() << ": " << default_vamp(key);
        // Whatever its spelling, the second chord's root is the degree the mode names.
        EXPECT_EQ(vamp->chords.size(), 2U) << key.name();
      }
    }
  }
}

TEST(Vamp, ItsTextIsReadBack) {
  for (const char* text : {"Em7 | A7", "G7 | F C/G", "Am", "D | % | G A Bm E"}) {
    const auto vamp = parse_vamp(text, Meter{}).value();
    const auto again = parse_vamp(chords_text(vamp, Meter{}), Meter{});
    ASSERT_TRUE(again) << chords_text(vamp, Meter{});
    ASSERT_EQ(again->chords.size(), vamp.chords.size());
    for (std::size_t i = 0; i < vamp.chords.size(); ++i) {
      EXPECT_EQ(again->chords[i].chord.symbol(), vamp.chords[i].chord.symbol());
      EXPECT_EQ(again->chords[i].onset, vamp.chords[i].onset);
    }
  }
  EXPECT_EQ(chords_text(Vamp{}, Meter{}), "");
}

TEST(Vamp, ARootNeverNeedsThreeAccidentals) {
  EXPECT_EQ(default_vamp(*parse_key("Abb locrian")), "Abbm7b5 | Abmaj7");
  EXPECT_EQ(default_vamp(*parse_key("E## lydian")), "E##maj7 | G#7");
  EXPECT_EQ(default_vamp(*parse_key("Fbb ionian")), "Fbbmaj7 | Abmaj7");
  EXPECT_EQ(default_vamp(*parse_key("E dorian")), "Em7 | A7");
}

VampChord chord(int onset, int duration, const char* symbol) {
  return {Beats(Rational(onset)), Beats(Rational(duration)), parse_chord(symbol).value()};
}

TEST(ChordAt, LoopsTheVampAndLaysAPickUpOverItsLastBar) {
  Vamp vamp;
  vamp.bars = 2;
  vamp.chords = {chord(0, 4, "Em7"), chord(4, 2, "A7"), chord(6, 2, "D7")};
  const auto at = [&](std::int64_t num, std::int64_t den) {
    const VampChord* found = chord_at(vamp, Meter{}, Beats(Rational(num, den)));
    return found != nullptr ? found->chord.symbol() : std::string("nothing");
  };
  EXPECT_EQ(at(0, 1), "Em7");
  EXPECT_EQ(at(15, 4), "Em7");
  EXPECT_EQ(at(4, 1), "A7");
  EXPECT_EQ(at(6, 1), "D7");
  EXPECT_EQ(at(31, 4), "D7");
  EXPECT_EQ(at(8, 1), "Em7");
  EXPECT_EQ(at(805, 1), "A7");
  EXPECT_EQ(at(-1, 4), "D7");
  EXPECT_EQ(at(-3, 1), "A7");
  EXPECT_EQ(at(-8, 1), "Em7");
  vamp.chords.clear();
  EXPECT_EQ(at(0, 1), "nothing");
}

}  // namespace
}  // namespace fretloom
