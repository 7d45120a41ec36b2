#include "sheet/staff.h"

#include <gtest/gtest.h>

#include "sheet/build.h"

namespace fretloom::sheet {
namespace {

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

/// The same fret an octave apart in writing: F sharp on the first string's fret 14, once in its place, once under the
/// ottava that the second beat begins. A sharp holds where it is printed, so it is said again.
TEST(Staff, AccidentalsFollowTheWrittenPlace) {
  EXPECT_EQ(staff_of("key C ionian\nmeter 2/4\nfeel 2\nnotes 1:0 1:14 1:14 1:20"),
            "bar 1\n  n0 at 3\n  n1 at 11 sign #\n  n2 at 4 sign # 8va\n  n3 at 8 8va\n");
}

/// What an ottava brings to an altered place shows that it is not altered, and a sign that would still hold behind the
/// ottava's end is recalled.
TEST(Staff, AnOttavaEndsWhatAReaderMayRelyOn) {
  EXPECT_EQ(staff_of("key C ionian\nmeter 2/4\nfeel 2\nnotes 1:2 1:2 1:13 1:20"),
            "bar 1\n  n0 at 4 sign #\n  n1 at 4\n  n2 at 4 sign natural 8va\n  n3 at 8 8va\n");
  EXPECT_EQ(staff_of("key C ionian\nmeter 2/4\nfeel 2\nnotes 1:2 1:2 1:14 1:20"),
            "bar 1\n  n0 at 4 sign #\n  n1 at 4\n  n2 at 4 courtesy # 8va\n  n3 at 8 8va\n");
}

/// A tied note is one note: were its second half under the line, it would look an octave lower.
TEST(Staff, NoOttavaBeginsOrEndsInsideATie) {
  EXPECT_EQ(staff_of("key E aeolian\nmeter 2/4\nfeel 2\nnotes 1:7 1:12x2 1:19 1:5x4"),
            "bar 1\n  n0 at 0 8va\n  n1 at 3 8va\n  n1 at 3 8va\n  n2 at 7 8va\nbar 2\n  n3 at 6\n");
}

TEST(Staff, LowPassagesGoOverAnOttavaBelow) {
  EXPECT_EQ(staff_of("tuning F#1 B1 E2 A2 D3 G3 B3 E4\nkey E aeolian\nmeter 2/4\nfeel 1\nnotes 8:0 8:5 5:0 1:12"),
            "bar 1\n  n0 at -10 8vb\n  n1 at -7 8vb\nbar 2\n  n2 at -1 8vb\n  n3 at 10\n");
}

}  // namespace
}  // namespace fretloom::sheet
