// The texts that go out with a lesson: description, script, e-mail, cautions.

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "base/text.h"
#include "exchange/random_lesson.h"
#include "words/cautions.h"
#include "words/demo.h"
#include "words/english.h"
#include "words/idea_lines.h"
#include "words/idea_story.h"
#include "words/lesson_texts.h"
#include "words/missing_facts.h"
#include "words/note_lists.h"
#include "words/settings_words.h"

namespace fretloom {
namespace {

constexpr std::string_view k_nasty_title =
    "Say \"six\" / it's </script><b>&amp; --> \xF0\x9F\x8E\xB8\r\n\nNOTE \xD7\xA9\xD7\x9C\xE2\x80\xAE\xFF";

bool has(const std::vector<Finding>& findings, const std::string& code, const std::string& where) {
  return std::any_of(findings.begin(), findings.end(),
                     [&](const Finding& f) { return f.code == code && f.where.text() == where; });
}

std::size_t widest_line(const std::string& text) {
  std::size_t widest = 0;
  for (const std::string_view line : split(text, '\n')) widest = std::max(widest, display_width(line));
  return widest;
}

/// Undoes the wrapping.
std::string join_lines(const std::string& text) {
  std::string line;
  for (const Word& word : words(text)) line += (line.empty() ? "" : " ") + std::string(word.text);
  return line;
}

Told told_demo(const std::string& name) { return told(demo_text(name)); }

const std::vector<std::string> k_enclosed = {"the handout to print (handout.pdf)", " ",
                                             "twelve sound files to play along with (audio)"};

/// All texts of a lesson, for laws that hold for each.
std::vector<std::string> all_texts(const Told& lesson) {
  return {description_text(lesson.handout, lesson.sentences, k_enclosed), script_text(lesson.handout, lesson.sentences),
          email_text(lesson.handout, lesson.sentences, k_enclosed)};
}

TEST(Texts, EqualTheGoldenFiles) {
  for (const std::string& name : k_demos) {
    const Told lesson = told_demo(name);
    expect_golden(name + ".description.txt", description_text(lesson.handout, lesson.sentences, k_enclosed));
    expect_golden(name + ".script.txt", script_text(lesson.handout, lesson.sentences));
    expect_golden(name + ".email.txt", email_text(lesson.handout, lesson.sentences, k_enclosed));
  }
}

// Stated with DESIGN's worked example, computed twice by hand.
TEST(Texts, SayWhatTheWorkedExampleSays) {
  const Told lesson = told_demo("climbing-sixes");
  const IdeaSheet& six = lesson.handout.ideas.front();
  EXPECT_EQ(
      shape_sentence(six, nullptr, Manner::written),
      "Six notes over two strings, then the same again one string thinner. Five rounds take you from the thickest "
      "string to the thinnest.");
  EXPECT_EQ(changes_sentence(six, nullptr, Manner::written),
            "Every string change comes after an upstroke, when your pick stands clear, so nothing is in its way.");
  // Six units against four a beat: lcm 12, two times through, three beats. Against six: one beat.
  EXPECT_EQ(beat_sentence(six, six.feels[0], Manner::spoken),
            "At four notes a beat, every other round starts on the beat.");
  EXPECT_EQ(beat_sentence(six, six.feels[1], Manner::spoken),
            "At six notes a beat, each round fills exactly one beat.");
  EXPECT_EQ(landing_sentence(six, six.feels[0], Manner::written),
            "Two more notes lead you to B, the 5th of Em7, on beat 1 of bar 3.");
  EXPECT_EQ(landing_sentence(six, six.feels[1], Manner::spoken),
            "Six more notes lead you to E, the fifth of the chord, on beat three of bar two.");
  EXPECT_EQ(spoken_frets(six),
            "Start on string six, frets twelve, fifteen, fourteen and fifteen. Then string five, frets fourteen and "
            "twelve.");
  EXPECT_EQ(frets_text(std::span(six.feels[0].notes).first(30)),
            "6: 12 15 14 15 | 5: 14 12 12 16 14 16 | 4: 14 12 12 16 14 16 | 3: 14 12 12 16 14 16 | "
            "2: 15 14 14 17 15 17 | 1: 15 14");
  EXPECT_EQ(strokes_text(std::span(six.feels[0].notes).first(6)), "D U D U | D U");
  EXPECT_EQ(chords_text(six.vamp, six.meter), "Em7 | A7");
}

TEST(Texts, IdeasSayWhatIsTheirOwnAndSlursHaveTheirNames) {
  const Told lesson = told(R"(
title = "Two keys"
key = "E dorian"
[[idea]]
name = "Slurs"
cell = "1 h2 3! p2 s3"
notes_per_beat = [5]
[[idea]]
name = "Elsewhere"
key = "A aeolian"
tempo = { slow = 92.5, goal = 92.5 }
cell = "1 2"
notes_per_beat = [2]
ending = "none"
)");
  ASSERT_EQ(lesson.handout.ideas.size(), 2U);
  const IdeaSheet& slurs = lesson.handout.ideas[0];
  const auto first = std::span(slurs.feels[0].notes).first(5);
  EXPECT_EQ(frets_text(first), "6: 0 h2 3 p2 s3");
  EXPECT_EQ(strokes_text(first), "D - U - -");
  EXPECT_TRUE(
      shape_sentence(slurs, nullptr, Manner::written).starts_with("Five notes on one string, three of them slurred, "));
  EXPECT_EQ(spoken_frets(slurs),
            "Start on string six, open, two, three, two and three. Note two is a hammer-on. Note four is a pull-off. "
            "Note five is a slide. Note three has an accent.");
  EXPECT_EQ(landing_sentence(lesson.handout.ideas[1], lesson.handout.ideas[1].feels[0], Manner::written), "");
  const std::string script = join_lines(script_text(lesson.handout, lesson.sentences));
  EXPECT_EQ(script.find("Start at sixty"), std::string::npos);  // the second idea has other tempos
  EXPECT_NE(script.find("There are two ideas in this lesson, in E dorian and A aeolian."), std::string::npos);
  EXPECT_NE(script.find("Play: At 92.5 beats a minute."), std::string::npos);
}

/// An idea in error leaves a gap; the others keep their number in the lesson.
TEST(Texts, IdeasKeepTheirNumberInTheLesson) {
  const Told lesson = told("title = \"T\"\nkey = \"E\"\n[[idea]]\ncell = \"x\"\n[[idea]]\ncell = \"1 2\"\n");
  ASSERT_EQ(lesson.handout.ideas.size(), 1U);
  EXPECT_NE(description_text(lesson.handout, lesson.sentences).find("\n2. 1 2\n"), std::string::npos);
  EXPECT_TRUE(has(missing_facts(lesson.handout), "missing-name", "idea[2].name"));
}

TEST(Texts, AllDemosCanBeToldWithoutGaps) {
  for (const std::string& name : k_demos) {
    const Told lesson = told_demo(name);
    ASSERT_FALSE(lesson.handout.ideas.empty()) << name;
    for (const std::string& text : all_texts(lesson)) {
      for (const char* gap : {": .", " ,", "  .", "..", "()", "\n\n\n"})
        EXPECT_EQ(text.find(gap), std::string::npos) << gap << text;
      EXPECT_TRUE(text.ends_with('\n') && !text.ends_with("\n\n"));
    }
    EXPECT_LE(widest_line(script_text(lesson.handout, lesson.sentences)), 80U);
    EXPECT_LE(widest_line(email_text(lesson.handout, lesson.sentences)), 72U);
  }
}

TEST(Texts, VampShowsBarsInWhichNoChordStarts) {
  const Meter meter;
  EXPECT_EQ(chords_text(parse_vamp("C G | Am", meter).value(), meter), "C G | Am");
  Vamp vamp = parse_vamp("C G | Am", meter).value();
  vamp.chords.back().onset = Beats(Rational(8));
  EXPECT_EQ(chords_text(vamp, meter), "C G | % | Am");
  vamp.chords.clear();
  EXPECT_EQ(chords_text(vamp, meter), "");
}

TEST(Texts, MissingFactsAreFindingsAndTheirSentencesAreLeftOut) {
  const Told whole = told_demo("climbing-sixes");
  EXPECT_TRUE(has(missing_facts(whole.handout), "missing-links", "links"));
  EXPECT_TRUE(has(missing_facts(whole.handout), "missing-note", "idea[3].note"));
  EXPECT_EQ(missing_facts(whole.handout).size(), 2U);

  Told bare = whole;
  Prose& prose = bare.handout.prose;
  prose.title = prose.author = prose.intro = prose.licence = " \n\t";
  prose.links = {"", "  "};
  bare.handout.ideas[0].name.clear();
  bare.handout.ideas[1].vamp.chords.clear();
  const auto findings = missing_facts(bare.handout);
  for (const char* key : {"title", "author", "intro", "licence", "links"})
    EXPECT_TRUE(has(findings, std::string("missing-") + key, key)) << key;
  EXPECT_TRUE(has(findings, "missing-name", "idea[1].name"));
  EXPECT_TRUE(has(findings, "missing-chords", "idea[2].vamp.chords"));
  for (const Finding& f : findings) EXPECT_EQ(f.level, f.code == "missing-note" ? Level::note : Level::warning);
  for (const std::string& text : all_texts(bare)) {
    for (const char* word : {"By ", "Licence", "Links", "this is", "\"\"", "[", "TODO", "unknown", "untitled", ": \n"})
      EXPECT_EQ(text.find(word), std::string::npos) << word << " in\n" << text;
  }
  EXPECT_TRUE(email_text(bare.handout, bare.sentences).starts_with("Subject: New lesson\n"));
  EXPECT_TRUE(
      description_text(bare.handout, bare.sentences).starts_with("There are three ideas in this lesson, all in E"));
}

TEST(Texts, AnEmptyHandoutHasItsFindingsAndNoFacts) {
  const Handout none;
  EXPECT_EQ(missing_facts(none).size(), 6U);
  EXPECT_TRUE(has(missing_facts(none), "missing-ideas", "idea"));
  EXPECT_TRUE(description_text(none, {}).starts_with("Warm up before you play"));
  EXPECT_EQ(script_text(none, {}).find("string"), std::string::npos);
  EXPECT_EQ(email_text(none, {}).find("holds"), std::string::npos);
}

TEST(Texts, AnEmailListsWhatIsEnclosed) {
  const auto [handout, sentences] = told_demo("climbing-sixes");
  const std::string text = email_text(handout, sentences, {"a\nb", "", std::string(80, 'x')});
  EXPECT_NE(text.find("\nEnclosed:\n- a b\n- xxx"), std::string::npos) << text;
  EXPECT_EQ(email_text(handout, sentences, {"", " "}), email_text(handout, sentences));
  EXPECT_EQ(email_text(handout, sentences).find("Enclosed"), std::string::npos);
}

TEST(Texts, CautionsStandInOneWording) {
  const std::string paragraph = cautions_paragraph();
  for (const Caution& caution : cautions())
    EXPECT_EQ(paragraph.find(caution.text) != std::string::npos, caution.source.empty());
  // Once in a text, at its end; in a letter in one line.
  const Told lesson = told_demo("climbing-sixes");
  const std::string description = description_text(lesson.handout, lesson.sentences, k_enclosed);
  EXPECT_TRUE(description.ends_with("\n" + paragraph + "\n"));
  EXPECT_EQ(description.find(paragraph), description.rfind(paragraph));
  EXPECT_NE(email_text(lesson.handout, lesson.sentences).find(": take breaks, and stop as soon as anything hurts.\n"),
            std::string::npos);
}

TEST(Texts, TitlesStayOnOneLineAndKeepTheirCharacters) {
  EXPECT_EQ(plain_line("  a\r\n\tb\x01\x7F c  "), "a b c");
  EXPECT_EQ(plain_line("\"q\" / <script> \xF0\x9F\x8E\xB8"), "\"q\" / <script> \xF0\x9F\x8E\xB8");
  EXPECT_EQ(plain_line("a\xE2\x80\xA8"
                       "b\xC2\x85"
                       "c"),
            "a b c");
  EXPECT_EQ(plain_line("a\xFF"
                       "b\xE2\x80"),
            "a\xEF\xBF\xBD"
            "b\xEF\xBF\xBD\xEF\xBF\xBD");
  EXPECT_EQ(plain_line("a\xE2\x80\xAE"
                       "b"),
            "ab");
  EXPECT_EQ(plain_line("\xD7\xA9\xD7\x9C"), "\xE2\x81\xA8\xD7\xA9\xD7\x9C\xE2\x81\xA9");
  EXPECT_EQ(plain_line("\xEF\xBF\xBD"), "\xEF\xBF\xBD");
  EXPECT_EQ(plain_line(""), "");
}

RC_GTEST_PROP(Texts, PlainLineIsOneLineOfUtf8AndAFixedPoint, (const std::string& text)) {
  const std::string line = plain_line(text);
  RC_ASSERT(utf8_prefix(line) == line.size());
  RC_ASSERT(std::none_of(line.begin(), line.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20; }));
  RC_ASSERT(plain_line(line) == line);
}

TEST(Texts, NastyTitlesBreakNoText) {
  Told lesson = told_demo("climbing-sixes");
  const std::string nasty(k_nasty_title);
  Prose& prose = lesson.handout.prose;
  prose.title = prose.author = prose.intro = prose.licence = nasty;
  prose.links = {nasty};
  for (IdeaSheet& idea : lesson.handout.ideas) idea.name = idea.note = nasty;
  for (const std::string& text : all_texts(lesson)) {
    EXPECT_EQ(utf8_prefix(text), text.size());
    EXPECT_EQ(text.find('\r'), std::string::npos);
    EXPECT_EQ(text.find("\xE2\x80\xAE"), std::string::npos);
    EXPECT_EQ(text.find("\n\n\n"), std::string::npos);
  }
}

RC_GTEST_PROP(Texts, AnyBytesGiveLinesOfText, (const std::string& any)) {
  Told lesson = told_demo("climbing-sixes");
  Prose& prose = lesson.handout.prose;
  prose.title = prose.author = prose.intro = prose.licence = any;
  prose.links = {any, any};
  lesson.handout.ideas.resize(1);
  lesson.handout.ideas[0].name = lesson.handout.ideas[0].note = any;
  for (const std::string& text : all_texts(lesson)) {
    RC_ASSERT(utf8_prefix(text) == text.size());
    RC_ASSERT(text.ends_with('\n'));
    RC_ASSERT(std::none_of(text.begin(), text.end(),
                           [](char c) { return c != '\n' && static_cast<unsigned char>(c) < 0x20; }));
  }
}

RC_GTEST_PROP(Texts, OfRandomLessonsHaveNoGapAndKeepTheirWidth, (std::uint32_t seed)) {
  const Told lesson = told(random_lesson(seed));
  for (const std::string& text : all_texts(lesson)) {
    for (const char* gap : {": .", " ,", "..", "()", "\n\n\n", "visit", "slot", "unit"}) {
      if (text.find(gap) != std::string::npos) RC_FAIL(gap + (" in\n" + text));
    }
  }
  RC_ASSERT(widest_line(script_text(lesson.handout, lesson.sentences)) <= 80U);
  RC_ASSERT(widest_line(email_text(lesson.handout, lesson.sentences)) <= 72U);
}

/// Lines that are spoken hold no figure, no chord symbol and no list: names and prose of the teacher's aside.
RC_GTEST_PROP(Texts, SpokenLinesCanBeSaid, (std::uint32_t seed)) {
  Told lesson = told(random_lesson(seed));
  lesson.handout.prose = {};
  for (IdeaSheet& idea : lesson.handout.ideas) {
    idea.name = "Name";
    idea.note = "";
  }
  bool said = false;
  const std::string script = script_text(lesson.handout, lesson.sentences);
  for (const std::string_view line : split(script, '\n')) {
    const bool lead = line.size() > 4 && line.substr(4, 2) == "  " && line[0] != ' ';
    if (lead || line.starts_with("Show:")) said = line.starts_with("Say:");
    if (!line.starts_with(' ') && !line.starts_with("Say:")) said = false;
    if (said && line.find_first_of("0123456789|/#+*_") != std::string_view::npos) RC_FAIL(std::string(line));
  }
}

TEST(Texts, NumbersAreSaid) {
  EXPECT_EQ(spoken_number(0), "zero");
  EXPECT_EQ(spoken_number(13), "thirteen");
  EXPECT_EQ(spoken_number(21), "twenty-one");
  EXPECT_EQ(spoken_number(40), "forty");
  EXPECT_EQ(spoken_number(105), "one hundred and five");
  EXPECT_EQ(spoken_number(999), "nine hundred and ninety-nine");
  EXPECT_EQ(spoken_number(2030), "two thousand and thirty");
  EXPECT_EQ(spoken_number(-3), "minus three");
  EXPECT_EQ(spoken_ordinal(3), "third");
  EXPECT_EQ(spoken_ordinal(12), "twelfth");
  EXPECT_EQ(spoken_ordinal(20), "twentieth");
  EXPECT_EQ(spoken_ordinal(22), "twenty-second");
  EXPECT_EQ(spoken_ordinal(100), "one hundredth");
  EXPECT_EQ(aloud("From 92.5 to 120 a minute, E2 and 1 b3 #4"),
            "From ninety-two point five to one hundred and twenty a minute, E two and one flat three sharp four");
  EXPECT_EQ(aloud("99999999999"), "nine nine nine nine nine nine nine nine nine nine nine");
  EXPECT_EQ(spoken_note({3, 1}), "F sharp");
  EXPECT_EQ(spoken_note({6, -2}), "B double flat");
  EXPECT_EQ(spoken_key(parse_key("Bb mixolydian b6").value()), "B flat mixolydian flat six");
  EXPECT_EQ(tone_words("b7", Manner::written), "the flat 7th");
  EXPECT_EQ(tone_words("b7", Manner::spoken), "the flat seventh");
  EXPECT_EQ(tone_words("1", Manner::spoken), "the root");
}

TEST(Texts, TheSameLessonGivesTheSameBytes) {
  EXPECT_EQ(all_texts(told_demo("jig-in-six-eight")), all_texts(told_demo("jig-in-six-eight")));
}

}  // namespace
}  // namespace fretloom
