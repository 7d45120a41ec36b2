#include "sheet/chord_setting.h"

#include <gtest/gtest.h>

#include "sheet/build.h"

namespace fretloom::sheet {
namespace {

std::string set(const char* symbol) {
  std::string text;
  for (const TextShape& piece : set_chord(parse_chord(symbol).value(), 2.5, TextMetrics()).pieces) {
    text += text.empty() ? "" : " ";
    text += (piece.at.y < 0 ? "^" : "") + piece.text;
  }
  return text;
}

TEST(ChordSetting, ExtensionsAreRaisedAndAlterationsBracketed) {
  EXPECT_EQ(set("Em7"), "E m ^7");
  EXPECT_EQ(set("Am"), "A m");
  EXPECT_EQ(set("F#m7b5/E"), "F ^\u266f m ^7(\u266d5) / E");
  EXPECT_EQ(set("Bb13#11"), "B ^\u266d ^13(\u266f11)");
  EXPECT_EQ(set("C/Bb"), "C / B ^\u266d");
}

TEST(ChordSetting, PiecesStandBesideEachOtherWithinTheWidth) {
  for (const std::string_view quality : chord_qualities()) {
    const Chord chord = parse_chord("F#" + std::string(quality) + "/C#").value();
    const ChordSetting setting = set_chord(chord, 2.5, TextMetrics());
    double right = 0;
    for (const TextShape& piece : setting.pieces) {
      EXPECT_GE(piece.at.x, right) << quality;
      right = piece.at.x + piece.width;
      EXPECT_LE(piece.size, 2.5);
      EXPECT_LE(-piece.at.y + piece.size * k_cap_height, chord_height(2.5)) << quality;
    }
    EXPECT_DOUBLE_EQ(right, setting.width);
  }
}

}  // namespace
}  // namespace fretloom::sheet
