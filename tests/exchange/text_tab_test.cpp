// Plain-text tab: golden pages, each small enough to be read, and the width of any page.

#include "exchange/text_tab.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "base/text.h"
#include "exchange/small_idea.h"

namespace fretloom {
namespace {

TEST(TextTab, WritesStrokesSlursRestsAndHolds) {
  IdeaSheet idea = small_idea();
  add_note(idea, 6, "12");
  add_note(idea, 6, "15");
  add_note(idea, 6, "p14");
  add_note(idea, 6, "s15");
  add_note(idea, 5, "9", 2);
  add_note(idea, 5, "h12");
  add_note(idea, 4, "9!", 1, 2);
  EXPECT_EQ(text_tab(idea, feel_of(idea)),
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
  IdeaSheet idea = small_idea();
  set_meter(idea, "4/4", "Em7 | A7");
  feel_of(idea).notes_per_beat = 2;
  feel_of(idea).start = Beats(Rational(-3, 2));
  for (const char* fret : {"5", "7", "8", "7"}) add_note(idea, 1, fret);
  EXPECT_EQ(text_tab(idea, feel_of(idea)),
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
  IdeaSheet idea = small_idea({"E4"});
  feel_of(idea).notes_per_beat = 1;
  feel_of(idea).start = Beats(Rational(6));
  add_note(idea, 1, "3");
  EXPECT_EQ(text_tab(idea, feel_of(idea)),
            "Bar 2\n"
            "   Em7\n"
            "       D\n"
            "E|-----3---|\n"
            "   1 2 3 4\n");
}

TEST(TextTab, CountsSextupletsAsTwoTriplets) {
  IdeaSheet idea = small_idea({"E2", "B2"});
  set_meter(idea, "2/4", "Em7");
  feel_of(idea).notes_per_beat = 6;
  for (const char* fret : {"1", "2", "3", "1", "2", "3", "5"}) add_note(idea, 2, fret);
  EXPECT_EQ(text_tab(idea, feel_of(idea)),
            "Bar 1\n"
            "   Em7\n"
            "   D U D U D U D\n"
            "B|---------------|\n"
            "E|-1-2-3-1-2-3-5-|\n"
            "   1 . . + . . 2\n");
}

TEST(TextTab, CountsTheEighthsOfACompoundMeter) {
  IdeaSheet idea = small_idea({"E4"});
  set_meter(idea, "6/8", "D G");
  feel_of(idea).notes_per_beat = 3;
  for (const char* fret : {"5!", "7", "8", "5!", "7", "8"}) add_note(idea, 1, fret);
  EXPECT_EQ(text_tab(idea, feel_of(idea)),
            "Bar 1\n"
            "   D     G\n"
            "   >     >\n"
            "   D U D U D U\n"
            "E|-5-7-8-5-7-8-|\n"
            "   1 2 3 4 5 6\n");
  feel_of(idea).notes.clear();
  feel_of(idea).notes_per_beat = 2;
  for (const char* fret : {"5", "7", "5", "7"}) add_note(idea, 1, fret);
  EXPECT_NE(text_tab(idea, feel_of(idea)).find("\n   1 + 4 +\n"), std::string::npos) << text_tab(idea, feel_of(idea));
}

TEST(TextTab, NamesStringsAtTheNutAndTheCapoAbove) {
  IdeaSheet idea = small_idea();
  idea.instrument.neck.capo = 2;
  add_note(idea, 6, "0");
  EXPECT_EQ(text_tab(idea, feel_of(idea)),
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
  IdeaSheet bass = small_idea({"E1", "A1", "D2", "G2"});
  add_note(bass, 4, "3");
  EXPECT_NE(text_tab(bass, feel_of(bass)).find("G|---------|\nD|---------|\nA|---------|\nE|-3-------|\n"),
            std::string::npos);
  IdeaSheet seven = small_idea({"B1", "E2", "A2", "D3", "G3", "B3", "E4"});
  add_note(seven, 7, "3");
  EXPECT_NE(text_tab(seven, feel_of(seven))
                .find("e|---------|\nB|---------|\nG|---------|\nD|---------|\nA|---------|\nE|---------|\n"
                      "B|-3-------|\n"),
            std::string::npos);
  IdeaSheet flat = small_idea({"Eb2", "Bb3"});
  add_note(flat, 2, "3");
  EXPECT_NE(text_tab(flat, feel_of(flat)).find("Bb|---------|\nEb|-3-------|\n    1 2 3 4\n"), std::string::npos);
}

TEST(TextTab, KeepsChordSymbolsApart) {
  IdeaSheet idea = small_idea({"E4"});
  set_meter(idea, "4/4", "F#m7b5 B7alt Em(maj7) A");
  feel_of(idea).notes_per_beat = 1;
  for (const char* fret : {"1", "2", "3", "4"}) add_note(idea, 1, fret);
  EXPECT_EQ(text_tab(idea, feel_of(idea)),
            "Bar 1\n"
            "   F#m7b5 B7alt Em(maj7) A\n"
            "   D      U     D        U\n"
            "E|-1------2-----3--------4-|\n"
            "   1      2     3        4\n");
}

RC_GTEST_PROP(TextTab, KeepsItsWidth, ()) {
  IdeaSheet idea = small_idea();
  const auto meters = std::vector<std::string>{"4/4", "3/4", "6/8", "2+2+3/8", "12/16"};
  set_meter(idea, *rc::gen::elementOf(meters), *rc::gen::element<std::string>("Em7 | A7", "Cmaj7 Am7 | D7sus4", "D"));
  feel_of(idea).notes_per_beat = *rc::gen::inRange(1, 13);
  feel_of(idea).start = Beats(Rational(*rc::gen::inRange(-24, 24), feel_of(idea).notes_per_beat));
  const int notes = *rc::gen::inRange(1, 60);
  for (int i = 0; i < notes; ++i) {
    add_note(idea, *rc::gen::inRange(1, 7), std::to_string(*rc::gen::inRange(0, 25)), *rc::gen::inRange(1, 4),
             *rc::gen::inRange(0, 3));
  }
  const std::string tab = text_tab(idea, feel_of(idea));
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
  RC_ASSERT(frets == feel_of(idea).notes.size());
}

Handout three_ideas() {
  IdeaSheet idea = small_idea();
  for (LayoutRow& row : idea.layout) row = {{12, 14, 16}, {{1, 0}, {2, 0}, {3, 0}}};
  idea.note = "Keep the wrist quiet.";
  idea.rule.text = "1 2";
  add_note(idea, 1, "12");
  IdeaSheet moved = idea;
  moved.layout[0] = {{13}, {{1, 0}}};
  Handout handout = small_handout({idea, idea, moved});
  handout.ideas[0].feels.push_back(feel_of(idea));
  handout.ideas[1].name.clear();
  handout.ideas[2].number = 4;  // the third is in error and left out
  handout.prose.author = "Demo Teacher";
  handout.prose.intro = "Three of a kind.";
  handout.prose.links = {"https://example.org/lesson"};
  handout.prose.copyright = "(c) 2026 Demo Teacher";
  handout.prose.licence = "CC BY 4.0";
  handout.prose.version = "2";
  return handout;
}

/// What stands on a page beside its tabs.
std::string without_tabs(const std::string& page) {
  std::string text;
  bool in_tab = false;
  for (const std::string_view line : split(page, '\n')) {
    in_tab = line.starts_with("Bar ") || (in_tab && !line.empty());
    if (!in_tab) text += std::string(line) + "\n";
  }
  text.pop_back();
  return text;
}

TEST(TextHandout, SaysWhatItIsGivenInOrder) {
  const LessonSentences sentences = {"The lesson.",
                                     {{"Its rule.", "Its idea.", "It is proved.", {"It ends.", ""}},
                                      {"Second rule.", "", "", {"It ends too."}},
                                      {"", "Last idea.", "", {}}},
                                     "Take care."};
  const auto page = text_handout(three_ideas(), sentences);
  ASSERT_TRUE(page);
  EXPECT_EQ(without_tabs(*page),
            "Small\n"
            "=====\n"
            "Demo Teacher\n"
            "\n"
            "Three of a kind.\n"
            "\n"
            "The lesson.\n"
            "\n"
            "D is a downstroke, U an upstroke, > an accent; h, p and s before a fret are a\n"
            "hammer-on, a pull-off and a slide.\n"
            "\n"
            "1. Small\n"
            "--------\n"
            "Keep the wrist quiet.\n"
            "\n"
            "Rule: 1 2\n"
            "\n"
            "Its rule.\n"
            "\n"
            "Its idea.\n"
            "\n"
            "Tuning: E2 A2 D3 G3 B3 E4.\n"
            "\n"
            "Layout: 6: 12 14 16 | 5: 12 14 16 | 4: 12 14 16 | 3: 12 14 16 | 2: 12 14 16 |\n"
            "  1: 12 14 16\n"
            "\n"
            "Proof: It is proved.\n"
            "\n"
            "4 notes a beat, 4/4, 60 to 120 beats a minute\n"
            "\n"
            "\n"
            "It ends.\n"
            "\n"
            "4 notes a beat, 4/4, 60 to 120 beats a minute\n"
            "\n"
            "\n"
            "2. 1 2\n"
            "------\n"
            "Keep the wrist quiet.\n"
            "\n"
            "Rule: 1 2\n"
            "\n"
            "Second rule.\n"
            "\n"
            "4 notes a beat, 4/4, 60 to 120 beats a minute\n"
            "\n"
            "\n"
            "It ends too.\n"
            "\n"
            "4. Small\n"
            "--------\n"
            "Keep the wrist quiet.\n"
            "\n"
            "Rule: 1 2\n"
            "\n"
            "Last idea.\n"
            "\n"
            "Tuning: E2 A2 D3 G3 B3 E4.\n"
            "\n"
            "Layout: 6: 13 | 5: 12 14 16 | 4: 12 14 16 | 3: 12 14 16 | 2: 12 14 16 |\n"
            "  1: 12 14 16\n"
            "\n"
            "4 notes a beat, 4/4, 60 to 120 beats a minute\n"
            "\n"
            "\n"
            "https://example.org/lesson\n"
            "(c) 2026 Demo Teacher\n"
            "CC BY 4.0\n"
            "Version 2\n"
            "\n"
            "Take care.\n");
}

TEST(TextHandout, LeavesNoLineForWhatIsNotGiven) {
  const std::string page = text_handout(three_ideas()).value();
  EXPECT_EQ(page.find("Proof"), std::string::npos);
  EXPECT_EQ(page.find("\n\n\n"), std::string::npos) << page;
  EXPECT_TRUE(
      page.ends_with("(c) 2026 Demo Teacher\n"
                     "CC BY 4.0\n"
                     "Version 2\n"))
      << page;
  EXPECT_EQ(text_handout(three_ideas(), {"", {{}, {}, {}}, ""}).value(), page);
}

TEST(TextHandout, KeepsItsWidth) {
  Handout handout = three_ideas();
  for (int i = 0; i < 40; ++i) add_note(handout.ideas[0], 1 + i % 6, "12");
  std::string prose;
  for (int i = 0; i < 60; ++i) prose += "words ";
  handout.prose.title = handout.prose.author = handout.prose.intro = handout.prose.licence = prose;
  handout.ideas[0].name = handout.ideas[0].note = handout.ideas[0].rule.text = prose;
  const auto page = text_handout(handout, {prose, {{prose, prose, prose, {prose}}}, prose});
  ASSERT_TRUE(page);
  for (const std::string_view line : split(*page, '\n')) EXPECT_LE(display_width(line), 80U) << line;
}

TEST(TextHandout, RefusesWhatTheNeckHasNot) {
  Handout handout = three_ideas();
  feel_of(handout.ideas[1]).notes[0].fret = 25;
  EXPECT_EQ(text_handout(handout).error().what, "1 2: a note lies on fret 25; the neck has 0 to 24");
}

}  // namespace
}  // namespace fretloom
