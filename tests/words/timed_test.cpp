// Chapters and captions: words that go with time.

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <regex>
#include <set>

#include "base/text.h"
#include "exchange/random_lesson.h"
#include "words/captions.h"
#include "words/chapters.h"
#include "words/demo.h"

namespace fretloom {
namespace {

constexpr int k_rate = 48000;

/// The times of `runs` runs of a score, a count-in before each and a bar of rest behind: a clock of the test's own.
std::vector<NoteTime> times_of(const IdeaSheet& idea, const Score& score, const Rational& bpm, int count_in_bars,
                               int runs = 1) {
  const Rational bar(idea.meter.beats_per_bar());
  Rational start = bar * Rational(count_in_bars);
  if (score.start.value < Rational(0) && start < -score.start.value) start = -score.start.value;
  const auto frame = [&](const Rational& beats) { return (beats * Rational(60 * k_rate) / bpm).round_half_up(); };
  std::vector<NoteTime> times;
  for (int run = 0; run < runs; ++run) {
    for (const ScoreNote& note : score.notes) {
      const Rational onset = start + note.onset.value;
      times.push_back({frame(onset), frame(onset + note.duration.value)});
    }
    start += score.end.value + bar * Rational(2);
  }
  return times;
}

std::string captions(const IdeaSheet& idea, const Score& score, const Rational& bpm, CaptionSplit split_by) {
  return web_vtt(
      caption_cues(idea, score, times_of(idea, score, bpm, 1), k_rate, caption_tempo(bpm, bpm), split_by).value(),
      k_rate);
}

TEST(Captions, EqualTheGoldenFiles) {
  for (const std::string name : {"climbing-sixes", "jig-in-six-eight"}) {
    const Handout handout = demo_handout(name);
    const IdeaSheet& idea = handout.ideas.back();
    const Score& score = idea.feels.front();
    expect_golden(name + ".repetitions.vtt", captions(idea, score, idea.slow_bpm, CaptionSplit::repetition));
    expect_golden(name + ".bars.vtt", captions(idea, score, idea.goal_bpm, CaptionSplit::bar));
  }
}

double seconds_of(const std::string& duration) {
  const Durations durations = read_durations(duration + " A");
  return durations.findings.empty() ? durations.sections.at(0).seconds : 0;
}

TEST(Durations, AreMinutesHoursOrSeconds) {
  for (const auto& [text, seconds] :
       {std::pair("1:35", 95.0), std::pair(" 1:02:03", 3723.0), std::pair("95", 95.0), std::pair("95.5", 95.5),
        std::pair("75:00", 4500.0), std::pair("1", 1.0), std::pair("24:00:00", 86400.0)})
    EXPECT_DOUBLE_EQ(seconds_of(text), seconds) << text;
}

TEST(Durations, WhatIsNoneIsAFindingWithItsPlace) {
  for (const char* bad : {":", "1:", ":30", "1:5", "1:60", "1:2:3:4", "-5", "+5", "1e3", "0x10", "nan", "inf", "1.5:00",
                          "1:075", "one", "1,5", ".", "1:00:60", "99999999999999999999999"}) {
    const Durations durations = read_durations("0:30 Hello\n\n  \xC3\xA9" + std::string(bad) + " X\n 0:20 End\n");
    ASSERT_EQ(durations.findings.size(), 1U) << bad;
    EXPECT_EQ(durations.findings[0].code, "duration-syntax") << bad;
    EXPECT_EQ(durations.findings[0].place, (Place{3, 3})) << bad;
    EXPECT_EQ(durations.sections.size(), 2U);
  }
  for (const char* bad : {"0", "0:00", "0.9", "24:00:01", "99999999999999999999"}) {
    const Durations durations = read_durations(std::string(bad) + " X");
    ASSERT_EQ(durations.findings.size(), 1U) << bad;
    EXPECT_EQ(durations.findings[0].code, "duration-range") << bad;
    EXPECT_GT(seconds_of(durations.findings[0].repair), 0.0) << bad;  // what it offers is legal
  }
  const Durations long_ones = read_durations("20:00:00 A\n4:00:00 B\n0:01 C\n");
  ASSERT_EQ(long_ones.findings.size(), 1U);
  EXPECT_EQ(long_ones.findings[0].code, "duration-range");
  EXPECT_EQ(long_ones.findings[0].place, (Place{3, 1}));
  const Durations bare = read_durations("# all\n1:30 A\r\n2:00\r\n");
  ASSERT_EQ(bare.findings.size(), 1U);
  EXPECT_EQ(bare.findings[0].code, "duration-title");
  EXPECT_EQ(bare.findings[0].repair, "2:00 Section 2");
  for (const char* none : {"", "\n\n", "# 1:30 The rule\n", "\xEF\xBB\xBF"}) {
    ASSERT_EQ(read_durations(none).findings.size(), 1U);
    EXPECT_EQ(read_durations(none).findings[0].code, "duration-none");
  }
}

TEST(Chapters, OfSectionsStartAtZeroAndAddUp) {
  const auto text = [](const std::string& durations) {
    const Durations read = read_durations(durations);
    EXPECT_TRUE(read.findings.empty()) << durations;
    return chapters_text(section_chapters(read.sections)).value();
  };
  EXPECT_EQ(text("\xEF\xBB\xBF# film\n0:30 Hello\r\n75.9\tRule \t X\n\n15 End"), "0:00 Hello\n0:30 Rule X\n1:45 End\n");
  EXPECT_EQ(text("1:00:00 A\n19 B\n"), "0:00 A\n1:00:00 B\n");
  // Short ones become one, and what is left over goes to the last.
  EXPECT_EQ(text("3 Hello\n6 Tuning\n1 A joke\n20 Rule\n9 End\n"), "0:00 Hello, Tuning, A joke\n0:10 Rule, End\n");
  EXPECT_EQ(text("9.9 A\n10 B\n"), "0:00 A, B\n");  // 9.9 seconds would be written as nine
  EXPECT_EQ(text("3 A\n4 B\n"), "0:00 A, B\n");
  // Ten times 1.1 s is eleven seconds, although ten decimals add up to less.
  std::string tenths;
  for (int i = 0; i < 10; ++i) tenths += "1.1 T\n";
  EXPECT_NE(text(tenths + "10 End").find("\n0:11 End\n"), std::string::npos);
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

TEST(Chapters, DemosFollowOneAnotherInWholeFrames) {
  const Handout handout = demo_handout("climbing-sixes");
  const auto of = [](const Handout& in, std::size_t idea, std::size_t feel) {
    return FeelRef{&in.ideas[idea], &in.ideas[idea].feels[feel]};
  };
  const std::vector<DemoLength> demos = {{of(handout, 0, 0), Rational(60), 18 * k_rate},
                                         {of(handout, 0, 1), Rational(185, 2), 10 * k_rate + 1},
                                         {of(handout, 2, 0), Rational(120), 11 * k_rate}};
  const auto chapters = demo_chapters(demos, k_rate);
  ASSERT_EQ(chapters.size(), 3U);
  EXPECT_EQ(chapters[0].title, "Six that folds back, 4 notes a beat, 60 beats a minute");
  EXPECT_EQ(chapters[1].title, "Six that folds back, 6 notes a beat, 92.5 beats a minute");
  EXPECT_DOUBLE_EQ(chapters[1].seconds, 18);
  EXPECT_DOUBLE_EQ(chapters[2].seconds, 28 + 1.0 / k_rate);
  EXPECT_EQ(chapters_text(chapters).value(),
            "0:00 Six that folds back, 4 notes a beat, 60 beats a minute\n"
            "0:18 Six that folds back, 6 notes a beat, 92.5 beats a minute\n"
            "0:28 Eight with a turn, 4 notes a beat, 120 beats a minute\n");
  const std::vector<DemoLength> short_ones = {{of(handout, 0, 0), Rational(60), 4 * k_rate},
                                              {of(handout, 0, 0), Rational(120), 3 * k_rate},
                                              {of(handout, 0, 1), Rational(60), 2 * k_rate},
                                              {of(handout, 1, 0), Rational(60), 9 * k_rate}};
  EXPECT_EQ(chapters_text(demo_chapters(short_ones, k_rate)).value(),
            "0:00 Six that folds back, 4 notes a beat, 60 and 120 beats a minute, then 6 notes a beat, 60 beats a "
            "minute; Fours on one string, 4 notes a beat, 60 beats a minute\n");
  Handout bare = handout;
  bare.ideas[0].name.clear();
  const std::vector<DemoLength> nameless = {{of(bare, 0, 0), Rational(60), k_rate}};
  EXPECT_TRUE(demo_chapters(nameless, k_rate)[0].title.starts_with("1 3 2 3 + 2 1, 4 notes"));
  EXPECT_TRUE(demo_chapters({}, k_rate).empty());
}

RC_GTEST_PROP(Chapters, AscendFromZeroLastLongEnoughAndNameEveryPart, ()) {
  const auto lengths = *rc::gen::nonEmpty(rc::gen::container<std::vector<int>>(rc::gen::inRange(1, 60)));
  std::string durations;
  std::set<double> starts;
  double whole = 0;
  std::string names;
  for (std::size_t i = 0; i < lengths.size(); ++i) {
    durations += std::to_string(lengths[i]) + ".5 Part" + std::to_string(i) + "\n";
    names += " Part" + std::to_string(i);
    starts.insert(std::floor(whole));
    whole += lengths[i] + 0.5;
  }
  const Durations read = read_durations(durations);
  RC_PRE(read.findings.empty());
  const std::string text = chapters_text(section_chapters(read.sections)).value();
  std::vector<std::string_view> lines = split(text, '\n');
  RC_ASSERT(lines.back().empty());
  lines.pop_back();
  std::vector<double> at;
  std::string told;
  for (const std::string_view line : lines) {
    const std::size_t blank = line.find(' ');
    const std::string clock(line.substr(0, blank));
    at.push_back(clock == "0:00" ? 0 : seconds_of(clock));
    RC_ASSERT(starts.contains(at.back()));
    for (const char c : line.substr(blank)) {
      if (c != ',') told += c;
    }
  }
  RC_ASSERT(at.front() == 0);
  RC_ASSERT(told == names);
  at.push_back(std::floor(whole));
  for (std::size_t i = 0; i + 1 < at.size(); ++i) RC_ASSERT(at[i + 1] - at[i] >= 10 || at.size() == 2);
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
  static const std::regex word(R"((?:string )?(\d+):|([hps]?\d+))");
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

/// One voice with rests, held notes, slurs, repetitions and perhaps a pick-up, as the idea's only feel.
IdeaSheet any_idea() {
  IdeaSheet idea = with_feel(demo_handout("climbing-sixes").ideas[0], 0);
  Score& score = idea.feels.front();
  idea.name = *rc::gen::arbitrary<std::string>();
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
  return idea;
}

RC_GTEST_PROP(Captions, FretsAreTheScoresInOrderAtTheTimesGiven, ()) {
  const IdeaSheet idea = any_idea();
  const Score& score = idea.feels.front();
  const int runs = *rc::gen::inRange(1, 4);
  const auto split_by = *rc::gen::element(CaptionSplit::repetition, CaptionSplit::bar);
  const Rational bpm(*rc::gen::inRange(20, 200), *rc::gen::element(1, 2));
  const std::vector<NoteTime> times = times_of(idea, score, bpm, *rc::gen::inRange(0, 3), runs);
  const auto made = caption_cues(idea, score, times, k_rate, caption_tempo(bpm, bpm), split_by);
  RC_ASSERT(made.ok());
  const std::vector<ReadCue> cues = read_vtt(web_vtt(*made, k_rate));
  RC_ASSERT(cues.size() == made->size());
  const auto ms = [](std::int64_t frame) { return std::llround(static_cast<double>(frame) / 48.0); };
  const auto notes = notes_of(score, runs);
  std::size_t told = 0;  // notes that have gone by
  for (std::size_t i = 0; i < cues.size(); ++i) {
    // By the common practice that the header names, from the bytes of the file (a millisecond of rounding aside).
    const auto length = static_cast<double>(cues[i].end - cues[i].begin) / 1000;
    RC_ASSERT(length >= 0.998);
    RC_ASSERT(static_cast<double>(count_code_points((*made)[i].text)) <= 17 * length + 0.04);
    RC_ASSERT((i == 0 || cues[i - 1].end <= cues[i].begin));
    if (cues[i].begin < ms(times.front().begin)) continue;  // the title
    RC_ASSERT(cues[i].begin == ms(times[told].begin));
    const auto here = read_notes((*made)[i].text);
    std::size_t next = told;
    while (next < times.size() && ms(times[next].begin) < cues[i].end) ++next;
    if ((*made)[i].text.find(':') != std::string::npos) {
      RC_ASSERT(here == std::vector(notes.begin() + static_cast<std::ptrdiff_t>(told),
                                    notes.begin() + static_cast<std::ptrdiff_t>(next)));
    } else {
      const std::string strings = (*made)[i].text;
      RC_ASSERT(strings.find(std::to_string(notes[told].first)) != std::string::npos);
    }
    RC_ASSERT(cues[i].end == (next < times.size() ? ms(times[next].begin) : ms(times.back().end)));
    told = next;
  }
  const bool some = !cues.empty() && cues.back().end > ms(times.front().begin);
  RC_ASSERT(told == (some ? times.size() : 0U));
}

RC_GTEST_PROP(Captions, OfRandomLessonsCanBeRead, (std::uint32_t seed)) {
  const Handout handout = make_handout(compile_lesson(random_lesson(seed)));
  for (const FeelRef& feel : feels_of(handout)) {
    for (const Rational& bpm : {feel.idea->slow_bpm, feel.idea->goal_bpm}) {
      for (const CaptionSplit split_by : {CaptionSplit::repetition, CaptionSplit::bar}) {
        const auto cues = caption_cues(*feel.idea, *feel.score, times_of(*feel.idea, *feel.score, bpm, 1, 2), k_rate,
                                       caption_tempo(bpm, bpm), split_by);
        RC_ASSERT(cues.ok());
        for (const Cue& cue : *cues) {
          const double seconds = static_cast<double>(cue.end - cue.begin) / k_rate;
          RC_ASSERT(seconds >= 1);
          RC_ASSERT(static_cast<double>(count_code_points(cue.text)) <= 17 * seconds);
        }
      }
    }
  }
}

TEST(Captions, SayLessWhereThereIsLessTime) {
  const IdeaSheet idea = with_feel(demo_handout("climbing-sixes").ideas[0], 1);  // six notes a beat, thirty notes
  const Score& score = idea.feels.front();
  const auto made = [&](int bpm) {
    const Rational tempo(bpm);
    return caption_cues(idea, score, times_of(idea, score, tempo, 1), k_rate, caption_tempo(tempo, tempo)).value();
  };
  const std::vector<Cue> slow = made(20);
  EXPECT_EQ(slow[0].text, "Six that folds back\n6 notes a beat, 20 beats a minute");
  EXPECT_EQ(slow[1].text, "string 6: 12 15 14 15 | string 5: 14 12");
  EXPECT_EQ(made(40)[1].text, "6: 12 15 14 15 | 5: 14 12");  // 25 characters in a second and a half
  const std::vector<Cue> fast = made(120);
  EXPECT_EQ(fast[0].text, "Six that folds back");  // 19 characters in two seconds; the rest would be 50
  EXPECT_EQ(fast[1].text, "strings 6 to 4");
  EXPECT_TRUE(is_readable(std::string(17, 'x'), k_rate, k_rate));
  EXPECT_FALSE(is_readable(std::string(18, 'x'), k_rate, k_rate));
  EXPECT_FALSE(is_readable("x", k_rate - 1, k_rate));
}

TEST(Captions, RefuseTimesThatAreNotWholeRuns) {
  IdeaSheet idea = demo_handout("climbing-sixes").ideas[0];
  Score& score = idea.feels.front();
  std::vector<NoteTime> times = times_of(idea, score, Rational(60), 1);
  times.pop_back();
  EXPECT_FALSE(caption_cues(idea, score, times, k_rate, "").ok());
  EXPECT_TRUE(caption_cues(idea, score, {}, k_rate, "")->empty());
  score.notes.clear();
  EXPECT_FALSE(caption_cues(idea, score, times, k_rate, "").ok());
  EXPECT_EQ(web_vtt(caption_cues(idea, score, {}, k_rate, "").value(), k_rate), "WEBVTT\n");
}

TEST(Captions, NamesAreEscaped) {
  IdeaSheet idea = demo_handout("climbing-sixes").ideas[0];
  idea.name = "</script><b>&amp; -->\n\nNOTE";
  const std::string vtt = captions(idea, idea.feels.front(), Rational(60), CaptionSplit::bar);
  EXPECT_EQ(vtt.find("<"), std::string::npos);
  EXPECT_EQ(vtt.find("\nNOTE"), std::string::npos);
  EXPECT_NE(vtt.find("&lt;/script&gt;&lt;b&gt;&amp;amp; --&gt; NOTE\n4 notes a beat, 60 beats a minute\n"),
            std::string::npos);
}

TEST(Captions, AreWrittenByTheStandard) {
  // Hours have two digits or more, an empty line would end a cue, & < > are escaped.
  const std::int64_t hour = 3600LL * k_rate;
  EXPECT_EQ(web_vtt({{24, 48, "a < b & c > d\n\ne\r\n"}, {hour, hour + 1, "x --> y"}}, k_rate),
            "WEBVTT\n\n1\n00:00:00.001 --> 00:00:00.002\na &lt; b &amp; c &gt; d\ne\n\n2\n01:00:00.000 --> "
            "01:00:00.001\nx --&gt; y\n");
}

}  // namespace
}  // namespace fretloom
