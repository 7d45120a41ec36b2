#include "pack/words.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <regex>

#include "base/text.h"
#include "pack/demo_handout.h"
#include "pack/words_captions.h"
#include "pack/words_chapters.h"
#include "sound/audio.h"

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

EmailFacts email_facts() {
  return {.to = "Ana",
          .address = "https://example.org/lessons/climbing-sixes/",
          .parts = {"the sheet (PDF)", "the demos at slow and goal tempo (MP3)"}};
}

TEST(Words, EqualTheGoldenFiles) {
  for (const std::string name : {"climbing-sixes", "jig-in-six-eight"}) {
    const Handout handout = demo_handout(name);
    expect_golden(name + ".description.txt", description_text(handout));
    expect_golden(name + ".script.txt", script_text(handout));
    expect_golden(name + ".email.txt", email_text(handout, email_facts()));
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
  EXPECT_NE(
      script.find("Start on string 6, frets 0, a hammer-on to 2, an accented 3, a pull-off to 2 and a slide to 3."),
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

TEST(Words, EmailAddressAndPartsAreFactsToo) {
  EXPECT_TRUE(missing_facts(email_facts()).empty());
  EXPECT_TRUE(has(missing_facts(EmailFacts{}), "missing-address", "email.address"));
  EXPECT_TRUE(has(missing_facts(EmailFacts{}), "missing-parts", "email.parts"));
  EmailFacts odd = email_facts();
  odd.address = "javascript:alert(1)";
  EXPECT_TRUE(has(missing_facts(odd), "bad-address", "email.address"));
  const Handout handout = demo_handout("climbing-sixes");
  EXPECT_EQ(email_text(handout, odd).find("javascript"), std::string::npos);
  const std::string text = email_text(handout, email_facts());
  EXPECT_LE(widest_line(text), 72U);
  EXPECT_NE(text.find("\nHello Ana,\n"), std::string::npos);
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

TEST(Words, TheSameHandoutGivesTheSameBytes) {
  const Handout handout = demo_handout("jig-in-six-eight");
  EXPECT_EQ(all_texts(handout), all_texts(handout));
}

TEST(Chapters, DurationsAreReadAndErrorsNameTheItem) {
  EXPECT_DOUBLE_EQ(*parse_duration("1:35"), 95);
  EXPECT_DOUBLE_EQ(*parse_duration(" 1:02:03 "), 3723);
  EXPECT_DOUBLE_EQ(*parse_duration("95"), 95);
  EXPECT_DOUBLE_EQ(*parse_duration("95.5"), 95.5);
  EXPECT_DOUBLE_EQ(*parse_duration("75:00"), 4500);
  for (const char* bad : {"", ":", "1:", ":30", "1:5", "1:60", "1:2:3:4", "-5", "+5", "1e3", "0x10", "nan", "inf",
                          "1.5:00", "1:075", "one", "1,5", ".", "1:00:60"}) {
    const auto result = parse_duration(bad);
    ASSERT_FALSE(result.ok()) << bad;
    EXPECT_EQ(result.error().kind, ErrorKind::syntax) << bad;
  }
  for (const char* bad : {"0", "0:00", "24:00:01", "99999999999999999999"}) {
    ASSERT_FALSE(parse_duration(bad).ok()) << bad;
    EXPECT_EQ(parse_duration(bad).error().kind, ErrorKind::range) << bad;
  }
  const auto bad = chapters_of({{"Hello", "0:30"}, {"The rule", "1:7"}});
  ASSERT_FALSE(bad.ok());
  EXPECT_TRUE(bad.error().what.starts_with("section 2 (The rule): \"1:7\"")) << bad.error().what;
  EXPECT_FALSE(chapters_of({}).ok());
}

TEST(Chapters, StartAtZeroAndAddUp) {
  const auto text = [](const std::vector<Section>& sections) {
    return chapters_text(chapters_of(sections).value()).value();
  };
  EXPECT_EQ(text({{"Hello", "0:30"}, {"Rule\nX", "75.9"}, {"End", "5"}}), "0:00 Hello\n0:30 Rule X\n1:45 End\n");
  EXPECT_EQ(text({{"A", "1:00:00"}, {"B", "9"}}), "0:00:00 A\n1:00:00 B\n");
  // Ten times 0.1 s is one second.
  std::vector<Section> tenths(10, {"T", "0.1"});
  tenths.push_back({"End", "1"});
  EXPECT_DOUBLE_EQ(chapters_of(tenths).value().front().seconds, 0);
  EXPECT_FALSE(chapters_text(chapters_of(tenths).value()).ok());  // two chapters in one second
  EXPECT_EQ(chapters_text({{0, "A"}, {chapters_of(tenths).value().back().seconds, "B"}}).value(), "0:00 A\n0:01 B\n");
}

TEST(Chapters, RefuseWhatIsNoList) {
  EXPECT_FALSE(chapters_text({}).ok());
  EXPECT_FALSE(chapters_text({{1, "A"}}).ok());
  EXPECT_FALSE(chapters_text({{0, "A"}, {0.5, "B"}}).ok());
  EXPECT_FALSE(chapters_text({{0, "A"}, {9, "B"}, {8, "C"}}).ok());
  EXPECT_FALSE(chapters_text({{0, "A"}, {9, " "}}).ok());
  EXPECT_FALSE(chapters_text({{0, "A"}, {std::nan(""), "B"}}).ok());
  EXPECT_FALSE(chapters_text({{0, "A"}, {1e300, "B"}}).ok());
}

TEST(Chapters, DemosLastAsLongAsTheyAreLaidOut) {
  const Handout handout = demo_handout("climbing-sixes");
  const auto chapters = demo_chapters(handout).value();
  // Five feels at two tempos. The first: 60 bpm, a bar of count-in and three bars, 2 s of ring-out: 18 s.
  ASSERT_EQ(chapters.size(), 10U);
  EXPECT_EQ(chapters[0].title, "Six that folds back, 4 notes a beat, 60 beats a minute");
  EXPECT_DOUBLE_EQ(chapters[1].seconds, 18);
  EXPECT_DOUBLE_EQ(chapters[2].seconds, 18 + 10);
  Handout fast = handout;
  fast.ideas[1].feels[0].goal_bpm = Rational(599);
  const auto refused = demo_chapters(fast);
  ASSERT_FALSE(refused.ok());
  EXPECT_TRUE(refused.error().what.starts_with("Fours on one string, 4 notes a beat, 599"));
  Handout equal = handout;
  for (ScoreSet& set : equal.ideas) {
    for (Score& score : set.feels) score.slow_bpm = score.goal_bpm;
  }
  EXPECT_EQ(demo_chapters(equal)->size(), 5U);
}

RC_GTEST_PROP(Chapters, AscendFromZeroAndReadBack, ()) {
  const auto lengths = *rc::gen::nonEmpty(rc::gen::container<std::vector<int>>(rc::gen::inRange(1, 2000)));
  std::vector<Section> sections;
  for (const int seconds : lengths) sections.push_back({"Part", std::to_string(seconds)});
  const auto chapters = chapters_of(sections);
  RC_ASSERT(chapters.ok());
  RC_PRE(chapters->back().seconds < 86400);
  const std::string text = chapters_text(*chapters).value();
  const std::vector<std::string_view> lines = split(text, '\n');
  RC_ASSERT(lines.size() == lengths.size() + 1);
  double want = 0;
  for (std::size_t i = 0; i < lengths.size(); ++i) {
    const std::string_view clock = lines[i].substr(0, lines[i].find(' '));
    if (i == 0) {
      RC_ASSERT((clock == "0:00" || clock == "0:00:00"));
    } else {
      RC_ASSERT(parse_duration(clock).value() == want);
    }
    want += lengths[i];
  }
}

/// A cue as a stranger reads it.
struct ReadCue {
  std::int64_t begin = 0;
  std::int64_t end = 0;
  std::string text;
};

std::int64_t read_time(const std::string& t) {
  return ((std::stoll(t.substr(0, 2)) * 60 + std::stoll(t.substr(3, 2))) * 60 + std::stoll(t.substr(6, 2))) * 1000 +
         std::stoll(t.substr(9, 3));
}

/// By WebVTT's file structure (W3C, section 4.1): header, blocks parted by empty lines, in each an
/// identifier, the timings, the text. Throws nothing: a bad block gives no cue, which the caller counts.
std::vector<ReadCue> read_vtt(const std::string& text) {
  static const std::regex timings(R"((\d\d:\d\d:\d\d\.\d\d\d) --> (\d\d:\d\d:\d\d\.\d\d\d))");
  std::vector<ReadCue> cues;
  std::vector<std::string_view> lines = split(text, '\n');
  if (lines.front() != "WEBVTT") return cues;
  for (std::size_t i = 1; i + 2 < lines.size();) {
    if (!lines[i].empty()) return {};
    std::smatch match;
    const std::string line(lines[i + 2]);
    if (lines[i + 1] != std::to_string(cues.size() + 1) || !std::regex_match(line, match, timings)) return {};
    ReadCue cue{read_time(match[1]), read_time(match[2]), ""};
    for (i += 3; i < lines.size() && !lines[i].empty(); ++i) cue.text += std::string(lines[i]) + "\n";
    cues.push_back(cue);
  }
  return cues;
}

/// "string 6: 12 p15 | string 5: 14": strings and frets in order.
std::vector<std::pair<int, std::string>> read_notes(const std::string& text) {
  static const std::regex word(R"(string (\d+):|([hps]?\d+))");
  std::vector<std::pair<int, std::string>> notes;
  int string = 0;
  for (std::sregex_iterator it(text.begin(), text.end(), word), end; it != end; ++it) {
    if ((*it)[1].matched) {
      string = std::stoi((*it)[1]);
    } else {
      notes.emplace_back(string, (*it)[2]);
    }
  }
  return notes;
}

std::vector<std::pair<int, std::string>> notes_of(const Score& score, int times) {
  std::vector<std::pair<int, std::string>> notes;
  for (int t = 0; t < times; ++t) {
    for (const ScoreNote& note : score.notes) {
      const std::string sign = note.attack == Attack::hammer  ? "h"
                               : note.attack == Attack::pull  ? "p"
                               : note.attack == Attack::slide ? "s"
                                                              : "";
      notes.emplace_back(note.string, sign + std::to_string(note.fret));
    }
  }
  return notes;
}

/// One voice with rests, held notes, slurs, repetitions and perhaps a pick-up.
Score any_score() {
  Score score = demo_handout("climbing-sixes").ideas[0].feels[0];
  score.title = *rc::gen::arbitrary<std::string>();
  score.notes_per_beat = *rc::gen::inRange(1, 9);
  score.notes.clear();
  const int count = *rc::gen::inRange(1, 40);
  const Rational unit(1, score.notes_per_beat);
  score.start = Beats(Rational(*rc::gen::inRange(-6, 7)) * unit);
  Rational time = score.start.value;
  int repeat = 1;
  for (int i = 0; i < count; ++i) {
    ScoreNote note;
    note.string = *rc::gen::inRange(1, 7);
    note.fret = *rc::gen::inRange(0, 25);
    note.attack = *rc::gen::element(Attack::pick, Attack::pick, Attack::hammer, Attack::pull, Attack::slide);
    note.onset = Beats(time);
    note.duration = Beats(Rational(*rc::gen::inRange(1, 4)) * unit);
    if (i > 0 && *rc::gen::inRange(0, 5) == 0) ++repeat;
    note.repeat = repeat;
    time = note.onset.value + note.duration.value + Rational(*rc::gen::inRange(0, 3)) * unit;
    score.notes.push_back(note);
  }
  score.end = Beats(time);
  return score;
}

RC_GTEST_PROP(Captions, FretsAreTheScoresInOrderAtTheFramesOfTheSound, ()) {
  const Score score = any_score();
  const int times = *rc::gen::inRange(1, 4);
  const auto split_by = *rc::gen::element(CaptionSplit::repetition, CaptionSplit::bar);
  const TimelineOptions options{.piece = Piece::demo,
                                .bpm = Rational(*rc::gen::inRange(20, 200), *rc::gen::element(1, 2)),
                                .count_in_bars = *rc::gen::inRange(0, 3),
                                .times = times};
  const auto timeline = lay_out(score, options);
  const auto text = captions(score, options, split_by);
  RC_ASSERT(text.ok());
  std::vector<ReadCue> cues = read_vtt(*text);
  const bool titled = timeline->notes.front().onset > 0;
  RC_ASSERT(!cues.empty());
  if (titled) cues.erase(cues.begin());
  std::vector<std::pair<int, std::string>> notes;
  const auto ms = [](std::int64_t frame) { return std::llround(static_cast<double>(frame) / 48.0); };
  for (std::size_t i = 0; i < cues.size(); ++i) {
    const auto here = read_notes(cues[i].text);
    RC_ASSERT(!here.empty());
    RC_ASSERT(cues[i].begin < cues[i].end);
    RC_ASSERT((i == 0 || cues[i - 1].end <= cues[i].begin));
    RC_ASSERT(cues[i].begin == ms(timeline->notes[notes.size()].onset));
    notes.insert(notes.end(), here.begin(), here.end());
    RC_ASSERT(cues[i].end == ms(timeline->notes[notes.size() - 1].end));
  }
  RC_ASSERT(notes == notes_of(score, times));
}

RC_GTEST_PROP(Captions, BurstsAndLaddersKeepTheNotesOrder, ()) {
  const Score score = any_score();
  const auto read = [&](const TimelineOptions& options) {
    std::vector<std::pair<int, std::string>> notes;
    const auto cues = caption_cues(score, options);
    RC_ASSERT(cues.ok());
    const bool titled = cues->front().begin == 0 && cues->front().text.find("beats a minute") != std::string::npos;
    for (std::size_t i = titled ? 1 : 0; i < cues->size(); ++i) {
      const auto here = read_notes((*cues)[i].text);
      notes.insert(notes.end(), here.begin(), here.end());
    }
    return notes;
  };
  RC_ASSERT(read({.piece = Piece::bursts, .bpm = Rational(60)}) == notes_of(score, 1));
  RC_ASSERT(read({.piece = Piece::ladder, .bpm = Rational(90), .rungs = 3}) == notes_of(score, 3));
}

TEST(Captions, RefuseALoopAndWhatCannotBePlayed) {
  const Score score = demo_handout("climbing-sixes").ideas[0].feels[0];
  EXPECT_FALSE(captions(score, {.piece = Piece::loop}).ok());
  EXPECT_FALSE(captions(score, {.piece = Piece::click}).ok());
  EXPECT_FALSE(captions(score, {.bpm = Rational(601)}).ok());
  Score silent = score;
  silent.notes.clear();
  EXPECT_EQ(captions(silent, {}).value(), "WEBVTT\n");
}

TEST(Captions, AreWrittenByTheStandard) {
  // Hours have two digits or more, an empty line would end a cue, & < > are escaped.
  const std::int64_t hour = 3600LL * k_sample_rate;
  EXPECT_EQ(web_vtt({{24, 48, "a < b & c > d\n\ne\r\n"}, {hour, hour + 1, "x --> y"}}),
            "WEBVTT\n\n1\n00:00:00.001 --> 00:00:00.002\na &lt; b &amp; c &gt; d\ne\n\n2\n01:00:00.000 --> "
            "01:00:00.001\nx --&gt; y\n");
}

}  // namespace
}  // namespace fretloom
