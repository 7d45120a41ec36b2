#include "sheet/staff.h"

#include <gtest/gtest.h>

#include "sheet/build.h"

namespace fretloom::sheet {
namespace {

TEST(Staff, GuitarIsWrittenAnOctaveUp) {
  // E4, the open first string, stands on the fourth space in 8vb treble (common practice, no source).
  EXPECT_EQ(staff_position(Clef::treble_8vb, {{2, 0}, 4}), 3);
  EXPECT_EQ(staff_position(Clef::bass, {{2, 0}, 1}), -6);  // E1, the open fourth string: first ledger line below
}

// Order of sharps F C G D A E B, of flats the reverse (common practice, no source).
TEST(Staff, SignaturesStandOnTheirLetters) {
  const std::string sharps = "FCGDAEB";
  const std::string flats = "BEADGCF";
  const std::string letters = "CDEFGAB";
  for (const Clef clef : {Clef::treble_8vb, Clef::bass}) {
    for (int fifths = -7; fifths <= 7; ++fifths) {
      const auto positions = signature_positions(clef, fifths);
      ASSERT_EQ(positions.size(), static_cast<std::size_t>(std::abs(fifths)));
      for (std::size_t i = 0; i < positions.size(); ++i) {
        const int middle = clef == Clef::bass ? 1 : 6;  // D or B
        const char letter = letters[static_cast<std::size_t>((middle + positions[i] + 14) % 7)];
        EXPECT_EQ(letter, (fifths > 0 ? sharps : flats)[i]);
        EXPECT_LE(std::abs(positions[i]), 5);
      }
    }
  }
}

std::string staff_of(const std::string& text) {
  const IdeaSheet idea = test::idea_of(text);
  const Score& score = idea.feels[0];
  const auto rhythm = write_rhythm(idea.meter, score);
  return to_text(place_on_staff(idea, score, rhythm.value()), rhythm.value());
}

TEST(Staff, AccidentalsHoldToTheBarsEndAndAreRecalledInTheNext) {
  // C ionian: C C# C# C | C (courtesy: the bar before ended natural, but had a sharp)
  EXPECT_EQ(staff_of("key C ionian\nmeter 4/4\nfeel 1\nnotes 5:3 5:4 5:4 5:3 5:3"),
            "bar 1\n  n0 at -6\n"
            "  n1 at -6 sign #\n  n2 at -6\n  n3 at -6 sign natural\n"
            "bar 2\n  n4 at -6\n");
  EXPECT_EQ(staff_of("key C ionian\nmeter 2/4\nfeel 1\nnotes 5:4 5:4 5:3 5:3"),
            "bar 1\n  n0 at -6 sign #\n  n1 at -6\nbar 2\n  n2 at -6 courtesy natural\n  n3 at -6\n");
}

TEST(Staff, HighPassagesGoUnderAnOttava) {
  EXPECT_EQ(staff_of("key E aeolian\nmeter 2/4\nfeel 2\nnotes 1:12 1:17 1:19 1:24"),
            "bar 1\n  n0 at 3 8va\n  n1 at 6 8va\n  n2 at 7 8va\n  n3 at 10 8va\n");
  EXPECT_EQ(staff_of("key E aeolian\nmeter 2/4\nfeel 2\nnotes 1:0 1:3 1:5 1:12"),
            "bar 1\n  n0 at 3\n  n1 at 5\n  n2 at 6\n  n3 at 10\n");
}

TEST(Staff, NotesTooHighForOneOctaveGoUnderTwo) {
  EXPECT_EQ(staff_of("tuning A4 A5\nkey A ionian\nmeter 2/4\nfeel 1\nnotes 2:0 1:0 1:12 1:19"),
            "bar 1\n  n0 at 6\n  n1 at 6 8va\nbar 2\n  n2 at 6 15ma\n  n3 at 10 15ma\n");
}

}  // namespace
}  // namespace fretloom::sheet
