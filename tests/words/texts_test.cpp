// The texts that go out with a lesson: description, script, e-mail, cautions.

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "base/text.h"
#include "exchange/random_lesson.h"
#include "words/cautions.h"
#include "words/demo.h"
#include "words/description.h"
#include "words/email.h"
#include "words/english.h"
#include "words/idea_lines.h"
#include "words/missing_facts.h"
#include "words/note_lists.h"
#include "words/script.h"
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

/// A lesson with all that the texts are made of.
struct Told {
  Handout handout;
  LessonSentences sentences;
};

Told told(const std::string& text) {
  const CompiledLesson lesson = compile_lesson(text);
  Told out{make_handout(lesson), {}};
  out.sentences = sentences_of(lesson, out.handout);
  return out;
}

Told told_demo(const std::string& name) { return told(demo_text(name)); }

/// All texts of a lesson, for laws that hold for each.
std::vector<std::string> all_texts(const Told& lesson) {
  return {description_text(lesson.handout, lesson.sentences), script_text(lesson.handout, lesson.sentences),
          email_text(lesson.handout, lesson.sentences)};
}

TEST(Texts, EqualTheGoldenFiles) {
  for (const std::string& name : k_demos) {
    const Told lesson = told_demo(name);
    expect_golden(name + ".description.txt", description_text(lesson.handout, lesson.sentences));
    expect_golden(name + ".script.txt", script_text(lesson.handout, lesson.sentences));
    expect_golden(name + ".email.txt",
                  email_text(lesson.handout, lesson.sentences, {"the handout to print (handout.pdf)", " "}));
  }
}

// Stated with DESIGN's worked example, computed twice by hand.
TEST(Texts, SayWhatTheWorkedExampleSays) {
  const Told lesson = told_demo("climbing-sixes");
  const IdeaSheet& six = lesson.handout.ideas.front();
  const IdeaSentences& said = lesson.sentences.ideas.front();
  EXPECT_EQ(said.endings[0],
            "At 4 notes a beat it ends on B, the 5th of Em7, in bar 3 on beat 1, after two more notes.");
  EXPECT_EQ(landing_place_sentence(six.feels[0]),
            "The landing note lies on string 1 at fret 19 and takes a downstroke.");
  EXPECT_EQ(frets_text(std::span(six.feels[0].notes).first(30)),
            "6: 12 15 14 15 | 5: 14 12 12 16 14 16 | 4: 14 12 12 16 14 16 | 3: 14 12 12 16 14 16 | "
            "2: 15 14 14 17 15 17 | 1: 15 14");
  EXPECT_EQ(strokes_text(std::span(six.feels[0].notes).first(6)), "D U D U | D U");
  EXPECT_EQ(chords_text(six.vamp, six.meter), "Em7 | A7");
  const std::string script = join_lines(script_text(lesson.handout, lesson.sentences));
  EXPECT_NE(script.find("from string 6 to string 5, comes after note 4: an upstroke"), std::string::npos);
  // Six units against four a beat: lcm 12, two times through, three beats. Against six: one beat.
  EXPECT_NE(script.find("After two times through, which take three beats"), std::string::npos);
  EXPECT_NE(script.find("fills exactly one beat."), std::string::npos);
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
  const auto first = std::span(lesson.handout.ideas[0].feels[0].notes).first(5);
  EXPECT_EQ(frets_text(first), "6: 0 h2 3 p2 s3");
  EXPECT_EQ(strokes_text(first), "D - U - -");
  const std::string text = description_text(lesson.handout, lesson.sentences);
  const std::string rest = text.substr(text.find("2. Elsewhere"));
  EXPECT_NE(rest.find("For this idea alone: in A aeolian, over Am7 | Fmaj7, at 92.5 beats a minute."),
            std::string::npos)
      << rest;
  EXPECT_EQ(rest.find("4/4"), std::string::npos);
  EXPECT_EQ(rest.find("it ends"), std::string::npos);
  EXPECT_NE(text.find("h, p and s before a fret"), std::string::npos);
  const std::string script = join_lines(script_text(lesson.handout, lesson.sentences));
  EXPECT_NE(script.find("Start on string 6, frets 0, 2, 3, 2 and 3. Note 2 is a hammer-on. Note 4 is a pull-off. "
                        "Note 5 is a slide. Accent note 3."),
            std::string::npos);
  EXPECT_NE(script.find("Play: At 92.5 beats a minute."), std::string::npos);
  EXPECT_LE(widest_line(script_text(lesson.handout, lesson.sentences)), 80U);
}

/// An idea in error leaves a gap; the others keep their number in the lesson.
TEST(Texts, IdeasKeepTheirNumberInTheLesson) {
  const Told lesson = told("title = \"T\"\nkey = \"E\"\n[[idea]]\ncell = \"x\"\n[[idea]]\ncell = \"1 2\"\n");
  ASSERT_EQ(lesson.handout.ideas.size(), 1U);
  EXPECT_NE(description_text(lesson.handout, lesson.sentences).find("\n2.\n"), std::string::npos);
  EXPECT_NE(email_text(lesson.handout, lesson.sentences).find("\n2. Idea 2 (2 notes, 4 and 6 to a beat)\n"),
            std::string::npos);
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
  EXPECT_TRUE(description_text(bare.handout, bare.sentences).starts_with("This lesson is in E dorian, on six strings"));
}

TEST(Texts, AnEmptyHandoutHasItsFindingsAndNoFacts) {
  const Handout none;
  EXPECT_EQ(missing_facts(none).size(), 6U);
  EXPECT_TRUE(has(missing_facts(none), "missing-ideas", "idea"));
  EXPECT_TRUE(description_text(none, {}).starts_with("Take care\n"));
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
  const std::string description = description_text({}, {});
  for (const Caution& caution : cautions()) {
    EXPECT_NE(description.find(caution.text), std::string::npos);
    EXPECT_EQ(paragraph.find(caution.text) != std::string::npos, caution.source.empty());
  }
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
    EXPECT_EQ(text.find("\nNOTE"), std::string::npos);
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
    for (const char* gap : {": .", " ,", "..", "()", "\n\n\n", "visit", "slot", "unit"})
      RC_ASSERT(text.find(gap) == std::string::npos);
  }
  RC_ASSERT(widest_line(script_text(lesson.handout, lesson.sentences)) <= 80U);
  RC_ASSERT(widest_line(email_text(lesson.handout, lesson.sentences)) <= 72U);
}

TEST(Texts, TheSameLessonGivesTheSameBytes) {
  EXPECT_EQ(all_texts(told_demo("jig-in-six-eight")), all_texts(told_demo("jig-in-six-eight")));
}

}  // namespace
}  // namespace fretloom
