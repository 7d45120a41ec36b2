// Plain-text tab: golden pages, each small enough to be read, and the width of any page.

#include "exchange/text_tab.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "base/text.h"
#include "exchange/small_score.h"

namespace fretloom {
namespace {

TEST(TextTab, WritesStrokesSlursRestsAndHolds) {
  Score score = small_score();
  add_note(score, 6, "12");
  add_note(score, 6, "15");
  add_note(score, 6, "p14");
  add_note(score, 6, "s15");
  add_note(score, 5, "9", 2);
  add_note(score, 5, "h12");
  add_note(score, 4, "9!", 1, 2);
  EXPECT_EQ(text_tab(score),
            "Bar 1\n"
            "   Em7\n"
            "                              >\n"
            "   D  U        D              U\n"
            "e|----------------------------------|\n"
            "B|----------------------------------|\n"
            "G|----------------------------------|\n"
            "D|----------------------------9-----|\n"
            "A|-------------9----h12-------------|\n"
            "E|-12-15p14s15----------------------|\n"
            "   1  e  +  a  2  e  +  a  3  e  4\n");
}

TEST(TextTab, WritesAPickUpFromWhereItSounds) {
  Score score = small_score();
  set_meter(score, "4/4", "Em7 | A7");
  score.notes_per_beat = 2;
  score.start = Beats(Rational(-3, 2));
  for (const char* fret : {"5", "7", "8", "7"}) add_note(score, 1, fret);
  EXPECT_EQ(text_tab(score),
            "Pick-up\n"
            "   A7      Em7\n"
            "   D U D   U\n"
            "e|-5-7-8-|-7-------|\n"
            "B|-------|---------|\n"
            "G|-------|---------|\n"
            "D|-------|---------|\n"
            "A|-------|---------|\n"
            "E|-------|---------|\n"
            "   + 4 +   1 2 3 4\n");
}

TEST(TextTab, NumbersTheBarOfALateStartAndShowsItsEmptyBeats) {
  Score score = small_score({"E4"});
  score.notes_per_beat = 1;
  score.start = Beats(Rational(6));
  add_note(score, 1, "3");
  EXPECT_EQ(text_tab(score),
            "Bar 2\n"
            "   Em7\n"
            "       D\n"
            "E|-----3---|\n"
            "   1 2 3 4\n");
}

TEST(TextTab, CountsSextupletsAsTwoTriplets) {
  Score score = small_score({"E2", "B2"});
  set_meter(score, "2/4", "Em7");
  score.notes_per_beat = 6;
  for (const char* fret : {"1", "2", "3", "1", "2", "3", "5"}) add_note(score, 2, fret);
  EXPECT_EQ(text_tab(score),
            "Bar 1\n"
            "   Em7\n"
            "   D U D U D U D\n"
            "B|---------------|\n"
            "E|-1-2-3-1-2-3-5-|\n"
            "   1 . . + . . 2\n");
}

TEST(TextTab, CountsTheEighthsOfACompoundMeter) {
  Score score = small_score({"E4"});
  set_meter(score, "6/8", "D G");
  score.notes_per_beat = 3;
  for (const char* fret : {"5!", "7", "8", "5!", "7", "8"}) add_note(score, 1, fret);
  EXPECT_EQ(text_tab(score),
            "Bar 1\n"
            "   D     G\n"
            "   >     >\n"
            "   D U D U D U\n"
            "E|-5-7-8-5-7-8-|\n"
            "   1 2 3 4 5 6\n");
  score.notes.clear();
  score.notes_per_beat = 2;
  for (const char* fret : {"5", "7", "5", "7"}) add_note(score, 1, fret);
  EXPECT_NE(text_tab(score).find("\n   1 + 4 +\n"), std::string::npos) << text_tab(score);
}

TEST(TextTab, NamesStringsAtTheNutAndTheCapoAbove) {
  Score score = small_score();
  score.capo = 2;
  add_note(score, 6, "0");
  EXPECT_EQ(text_tab(score),
            "Capo 2\n"
            "Bar 1\n"
            "   Em7\n"
            "   D\n"
            "e|---------|\n"
            "B|---------|\n"
            "G|---------|\n"
            "D|---------|\n"
            "A|---------|\n"
            "E|-0-------|\n"
            "   1 2 3 4\n");
}

TEST(TextTab, HasAsManyLinesAsStrings) {
  Score bass = small_score({"E1", "A1", "D2", "G2"});
  add_note(bass, 4, "3");
  EXPECT_NE(text_tab(bass).find("G|---------|\nD|---------|\nA|---------|\nE|-3-------|\n"), std::string::npos);
  Score seven = small_score({"B1", "E2", "A2", "D3", "G3", "B3", "E4"});
  add_note(seven, 7, "3");
  EXPECT_NE(text_tab(seven).find("e|---------|\nB|---------|\nG|---------|\nD|---------|\nA|---------|\nE|---------|\n"
                                 "B|-3-------|\n"),
            std::string::npos);
  Score flat = small_score({"Eb2", "Bb3"});
  add_note(flat, 2, "3");
  EXPECT_NE(text_tab(flat).find("Bb|---------|\nEb|-3-------|\n    1 2 3 4\n"), std::string::npos);
}

TEST(TextTab, KeepsChordSymbolsApart) {
  Score score = small_score({"E4"});
  set_meter(score, "4/4", "F#m7b5 B7alt Em(maj7) A");
  score.notes_per_beat = 1;
  for (const char* fret : {"1", "2", "3", "4"}) add_note(score, 1, fret);
  EXPECT_EQ(text_tab(score),
            "Bar 1\n"
            "   F#m7b5 B7alt Em(maj7) A\n"
            "   D      U     D        U\n"
            "E|-1------2-----3--------4-|\n"
            "   1      2     3        4\n");
}

RC_GTEST_PROP(TextTab, KeepsItsWidth, ()) {
  Score score = small_score();
  const auto meters = std::vector<std::string>{"4/4", "3/4", "6/8", "2+2+3/8", "12/16"};
  set_meter(score, *rc::gen::elementOf(meters), *rc::gen::element<std::string>("Em7 | A7", "Cmaj7 Am7 | D7sus4", "D"));
  score.notes_per_beat = *rc::gen::inRange(1, 13);
  score.start = Beats(Rational(*rc::gen::inRange(-24, 24), score.notes_per_beat));
  const int notes = *rc::gen::inRange(1, 60);
  for (int i = 0; i < notes; ++i) {
    add_note(score, *rc::gen::inRange(1, 7), std::to_string(*rc::gen::inRange(0, 25)), *rc::gen::inRange(1, 4),
             *rc::gen::inRange(0, 3));
  }
  const std::string tab = text_tab(score);
  std::size_t frets = 0;
  for (const std::string_view line : split(tab, '\n')) {
    const bool is_string = line.size() > 2 && line[1] == '|';
    const auto bars = std::count(line.begin(), line.end(), '|') - 1;
    RC_ASSERT((line.size() <= 80 || !is_string || bars == 1));
    for (std::size_t i = 2; is_string && i < line.size(); ++i) {
      const auto digit = [](char c) { return c >= '0' && c <= '9'; };
      frets += digit(line[i]) && !digit(line[i - 1]) ? 1 : 0;
    }
  }
  RC_ASSERT(frets == score.notes.size());
}

TEST(TextHandout, KeepsItsWidthAndItsStringsTogether) {
  Handout handout;
  handout.title = "Small";
  handout.key = "E dorian";
  Score score = small_score();
  for (ScoreString& string : score.strings) string.frets = {12, 14, 16};
  score.rule = "1 2";
  score.rule_in_words = "String notes 1, 2.";
  score.proof = "Every string change follows an upstroke.";
  for (int i = 0; i < 40; ++i) add_note(score, 1 + i % 6, "12");
  handout.ideas.push_back({{score}});
  const std::string text = text_handout(handout);
  EXPECT_NE(text.find("Layout: 6: 12 14 16 | 5: 12 14 16 | 4: 12 14 16 | 3: 12 14 16 | 2: 12 14 16 |\n"
                      "  1: 12 14 16\n"),
            std::string::npos)
      << text;
  for (const std::string_view line : split(text, '\n')) EXPECT_LE(display_width(line), 80U) << line;
  handout.ideas.push_back({});
  EXPECT_EQ(text_handout(handout), text);
}

}  // namespace
}  // namespace fretloom
