#include "pack/words.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "base/text.h"
#include "pack/demo_handout.h"
#include "pack/words_captions.h"
#include "pack/words_chapters.h"
#include "pack/words_facts.h"

namespace fretloom {
namespace {

constexpr std::string_view k_nasty_title =
    "Say \"six\" / it's </script><b>&amp; --> \xF0\x9F\x8E\xB8\r\n\nNOTE \xD7\xA9\xD7\x9C\xE2\x80\xAE\xFF";

bool has(const std::vector<Finding>& findings, const std::string& code, const std::string& where) {
  return std::any_of(findings.begin(), findings.end(),
                     [&](const Finding& f) { return f.code == code && f.where == where; });
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

/// All texts of a handout, for laws that hold for each.
std::vector<std::string> all_texts(const Handout& handout) {
  std::vector<std::string> texts = {description_text(handout), script_text(handout), email_text(handout)};
  for (const ScoreSet& set : handout.ideas) {
    for (const Score& score : set.feels) texts.push_back(captions(score, {}).value());
  }
  if (!handout.ideas.empty()) texts.push_back(chapters_text(demo_chapters(handout).value()).value());
  return texts;
}

TEST(Words, EqualTheGoldenFiles) {
  for (const std::string name : {"climbing-sixes", "jig-in-six-eight"}) {
    const Handout handout = demo_handout(name);
    expect_golden(name + ".description.txt", description_text(handout));
    expect_golden(name + ".script.txt", script_text(handout));
    expect_golden(name + ".email.txt", email_text(handout, {"the handout to print (handout.pdf)", " "}));
    expect_golden(name + ".chapters.txt", chapters_text(demo_chapters(handout).value()).value());
    const Score& score = handout.ideas.back().feels.front();
    expect_golden(name + ".repetitions.vtt", captions(score, {.bpm = score.slow_bpm}).value());
    expect_golden(name + ".bars.vtt", captions(score, {.bpm = score.goal_bpm}, CaptionSplit::bar).value());
  }
}

// Stated with DESIGN's worked example, computed twice by hand.
TEST(Words, SayWhatTheWorkedExampleSays) {
  const Handout handout = demo_handout("climbing-sixes");
  const ScoreSet& six = handout.ideas.front();
  EXPECT_EQ(landing_text(six.feels[0]),
            "lands in bar 3 on beat 1, on string 1 at fret 19: B, the 5th of Em7, with a downstroke");
  EXPECT_EQ(landing_text(six.feels[1]).substr(0, 71),
            "lands in bar 2 on beat 3, on string 1 at fret 21: C#, the 3rd of A7, wi");
  EXPECT_EQ(visits_text(std::span(six.feels[0].notes).first(30)),
            "6: 12 15 14 15 | 5: 14 12 12 16 14 16 | 4: 14 12 12 16 14 16 | 3: 14 12 12 16 14 16 | "
            "2: 15 14 14 17 15 17 | 1: 15 14");
  EXPECT_EQ(strokes_text(std::span(six.feels[0].notes).first(6)), "D U D U | D U");
  EXPECT_EQ(vamp_text(six.feels[0]), "Em7 | A7");
  const std::string script = join_lines(script_text(handout));
  EXPECT_NE(script.find("from string 6 to string 5, comes after note 4: an upstroke"), std::string::npos);
  // Six units against four a beat: lcm 12, two times through, three beats. Against six: one beat.
  EXPECT_NE(script.find("After 2 times through, which take 3 beats"), std::string::npos);
  EXPECT_NE(script.find("fills exactly 1 beat."), std::string::npos);
}

TEST(Words, IdeasSayWhatIsTheirOwnAndSlursHaveTheirNames) {
  const std::string lesson = R"(
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
)";
  const Handout handout = make_handout(compile_lesson(lesson));
  ASSERT_EQ(handout.ideas.size(), 2U);
  const Score& slurs = handout.ideas[0].feels[0];
  const auto first = std::span(slurs.notes).first(5);
  EXPECT_EQ(visits_text(first), "6: 0 h2 3 p2 s3");
  EXPECT_EQ(strokes_text(first), "D - U - -");
  const std::string text = description_text(handout);
  const std::string rest = text.substr(text.find("2. Elsewhere"));
  EXPECT_NE(rest.find("Key: A aeolian.\n"), std::string::npos) << rest;
  EXPECT_NE(rest.find("Tempo: 92.5 beats a minute.\n"), std::string::npos) << rest;
  EXPECT_EQ(rest.find("Meter"), std::string::npos);
  EXPECT_EQ(rest.find("lands"), std::string::npos);
  EXPECT_NE(text.find("h, p and s before a fret"), std::string::npos);
  const std::string script = join_lines(script_text(handout));
  EXPECT_NE(script.find("Start on string 6, frets 0, 2, 3, 2 and 3. Note 2 is a hammer-on. Note 4 is a pull-off. "
                        "Note 5 is a slide. Accent note 3."),
            std::string::npos);
  EXPECT_NE(script.find("Play: At 92.5 beats a minute."), std::string::npos);
  EXPECT_LE(widest_line(script_text(handout)), 80U);
}

TEST(Words, AllDemosCanBeToldWithoutGaps) {
  for (const char* name :
       {"bass-steps", "climbing-sixes", "jig-in-six-eight", "low-string-gallop", "odd-ones-out", "pentatonic-pairs"}) {
    const Handout handout = demo_handout(name);
    ASSERT_FALSE(handout.ideas.empty()) << name;
    for (const std::string& text : all_texts(handout)) {
      for (const char* gap : {": .", " ,", "  .", "..", "()", "\n\n\n"})
        EXPECT_EQ(text.find(gap), std::string::npos) << gap << text;
      EXPECT_TRUE(text.ends_with('\n') && !text.ends_with("\n\n"));
    }
    EXPECT_LE(widest_line(script_text(handout)), 80U);
    EXPECT_LE(widest_line(email_text(handout)), 72U);
  }
}

TEST(Words, ProofsAreCutToWhatCanBeSaid) {
  Score score;
  EXPECT_EQ(brief_proof(score), "");
  score.proof = "Every change (string 6) is even (4 6 6). Looped it does not hold: no (4 6).";
  EXPECT_EQ(brief_proof(score), "Every change (string 6) is even.");
  score.proof = "Odd (1 2) and (3) and () and (4";
  EXPECT_EQ(brief_proof(score), "Odd and and () and (4");
  std::string many;
  for (int i = 0; i < 100000; ++i) many += "4 ";
  score.proof = "Even (" + many + "4).";
  EXPECT_EQ(brief_proof(score), "Even.");
}

TEST(Words, VampShowsBarsInWhichNoChordStarts) {
  Score score = demo_handout("climbing-sixes").ideas[0].feels[0];
  score.vamp = parse_vamp("C G | Am", score.meter).value().chords;
  EXPECT_EQ(vamp_text(score), "C G | Am");
  score.vamp.back().onset = Beats(Rational(8));
  EXPECT_EQ(vamp_text(score), "C G | % | Am");
  score.vamp.clear();
  EXPECT_EQ(vamp_text(score), "");
}

TEST(Words, MissingFactsAreFindingsAndTheirSentencesAreLeftOut) {
  const Handout whole = demo_handout("climbing-sixes");
  EXPECT_TRUE(has(missing_facts(whole), "missing-links", "links"));
  EXPECT_TRUE(has(missing_facts(whole), "missing-note", "idea[3].note"));
  EXPECT_EQ(missing_facts(whole).size(), 2U);

  Handout bare = whole;
  bare.title = bare.author = bare.intro = bare.licence = " \n\t";
  bare.links = {"", "  "};
  bare.ideas[0].feels[0].title.clear();
  bare.ideas[1].feels[0].vamp.clear();
  const auto findings = missing_facts(bare);
  for (const char* key : {"title", "author", "intro", "licence", "links"}) {
    EXPECT_TRUE(has(findings, std::string("missing-") + key, key)) << key;
  }
  EXPECT_TRUE(has(findings, "missing-name", "idea[1].name"));
  EXPECT_TRUE(has(findings, "missing-chords", "idea[2].vamp.chords"));
  for (const Finding& f : findings) EXPECT_EQ(f.level, f.code == "missing-note" ? Level::note : Level::warning);
  for (const std::string& text : {description_text(bare), script_text(bare), email_text(bare)}) {
    for (const char* word :
         {"By ", "Licence", "Links", "this is", "\"\"", "[", "TODO", "unknown", "untitled", ": \n"}) {
      EXPECT_EQ(text.find(word), std::string::npos) << word << " in\n" << text;
    }
  }
  EXPECT_TRUE(email_text(bare).starts_with("Subject: New lesson\n"));
  EXPECT_TRUE(description_text(bare).starts_with("Key: E dorian.\n"));
}

TEST(Words, AnEmptyHandoutHasItsFindingsAndNoFacts) {
  const Handout none;
  EXPECT_EQ(missing_facts(none).size(), 6U);
  EXPECT_TRUE(has(missing_facts(none), "missing-ideas", "idea"));
  EXPECT_TRUE(description_text(none).starts_with("Take care\n"));
  EXPECT_FALSE(demo_chapters(none).ok());
  EXPECT_EQ(script_text(none).find("Key"), std::string::npos);
  EXPECT_EQ(email_text(none).find("holds"), std::string::npos);
}

TEST(Words, AnEmailListsWhatIsEnclosed) {
  const Handout handout = demo_handout("climbing-sixes");
  const std::string text = email_text(handout, {"a\nb", "", std::string(80, 'x')});
  EXPECT_NE(text.find("\nEnclosed:\n- a b\n- xxx"), std::string::npos) << text;
  EXPECT_EQ(email_text(handout, {"", " "}), email_text(handout));
  EXPECT_EQ(email_text(handout).find("Enclosed"), std::string::npos);
}

TEST(Words, TitlesStayOnOneLineAndKeepTheirCharacters) {
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

RC_GTEST_PROP(Words, PlainLineIsOneLineOfUtf8AndAFixedPoint, (const std::string& text)) {
  const std::string line = plain_line(text);
  RC_ASSERT(utf8_prefix(line) == line.size());
  RC_ASSERT(std::none_of(line.begin(), line.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20; }));
  RC_ASSERT(plain_line(line) == line);
}

TEST(Words, NastyTitlesBreakNoText) {
  Handout handout = demo_handout("climbing-sixes");
  const std::string nasty(k_nasty_title);
  const std::vector<std::string> before = all_texts(handout);
  handout.title = handout.author = handout.intro = handout.licence = nasty;
  handout.links = {nasty};
  for (ScoreSet& set : handout.ideas) {
    for (Score& score : set.feels) score.title = score.note = nasty;
  }
  for (const std::string& text : all_texts(handout)) {
    EXPECT_EQ(utf8_prefix(text), text.size());
    EXPECT_EQ(text.find('\r'), std::string::npos);
    EXPECT_EQ(text.find("\nNOTE"), std::string::npos);
    EXPECT_EQ(text.find("\xE2\x80\xAE"), std::string::npos);
    EXPECT_EQ(text.find("\n\n\n"), std::string::npos);
  }
  const std::string vtt = captions(handout.ideas[0].feels[0], {}).value();
  EXPECT_EQ(vtt.find("<"), std::string::npos);
  EXPECT_NE(vtt.find("&lt;/script&gt;&lt;b&gt;&amp;amp; --&gt;"), std::string::npos);
}

RC_GTEST_PROP(Words, AnyBytesGiveLinesOfText, (const std::string& prose)) {
  Handout handout = demo_handout("climbing-sixes");
  handout.title = handout.author = handout.intro = handout.licence = handout.key = prose;
  handout.links = {prose, prose};
  handout.ideas.resize(1);
  for (Score& score : handout.ideas[0].feels) {
    score.title = score.note = score.key = score.rule_in_words = score.proof = prose;
  }
  for (const std::string& text : all_texts(handout)) {
    RC_ASSERT(utf8_prefix(text) == text.size());
    RC_ASSERT(text.ends_with('\n'));
    RC_ASSERT(std::none_of(text.begin(), text.end(),
                           [](char c) { return c != '\n' && static_cast<unsigned char>(c) < 0x20; }));
  }
}

TEST(Words, TheSameHandoutGivesTheSameBytes) {
  const Handout handout = demo_handout("jig-in-six-eight");
  EXPECT_EQ(all_texts(handout), all_texts(handout));
}

}  // namespace
}  // namespace fretloom
