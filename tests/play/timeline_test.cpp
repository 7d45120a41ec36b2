#include "play/timeline.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <limits>
#include <set>

#include "sound/signal.h"

namespace fretloom {
namespace {

// REFERENCES, "Rhythm": 132 bpm, 5 notes a beat, 48 kHz, halves up; rounded steps added up give 872800.
TEST(Timeline, CountsFramesFromExactFractions) {
  const std::vector<std::int64_t> want = {0, 4364, 8727, 13091, 17455, 21818, 26182};
  for (std::size_t i = 0; i < want.size(); ++i) {
    EXPECT_EQ(frame_of(Rational(static_cast<std::int64_t>(i), 5), Rational(132)), want[i]);
    EXPECT_EQ(voice::frame_at({static_cast<int>(i), 5}, {132, 1}), want[i]);
  }
  EXPECT_EQ(frame_of(Rational(40), Rational(132)), 872727);
  EXPECT_EQ(voice::frame_at({200, 5}, {132, 1}), 872727);
}

RC_GTEST_PROP(Timeline, KernelAndHouseAgreeOnEveryFrame, ()) {
  const int num = *rc::gen::inRange(0, 1000000);
  const int den = *rc::gen::inRange(1, 2000);
  const int bpm = *rc::gen::inRange(1, 500000);
  const int part = *rc::gen::inRange(1, 1000);
  RC_ASSERT(voice::frame_at({num, den}, {bpm, part}) == frame_of(Rational(num, den), Rational(bpm, part)));
}

TEST(Timeline, LaysOutADemoBehindItsCountIn) {
  const IdeaSheet idea = demo::weaving(16, 4);
  const auto out = lay_out(idea, idea.feels[0], {.piece = Piece::demo, .bpm = Rational(120)});
  ASSERT_TRUE(out.ok());
  ASSERT_EQ(out->notes.size(), 16U);
  // 120 bpm: a beat is 24000 frames, the bar of count-in 96000, a sixteenth 6000.
  for (int i = 0; i < 16; ++i) EXPECT_EQ(out->notes[static_cast<std::size_t>(i)].onset, 96000 + 6000 * i);
  ASSERT_EQ(out->knocks.size(), 8U);
  EXPECT_EQ(out->knocks[0], (TimedKnock{0, voice::Knock::bar, true}));
  EXPECT_EQ(out->knocks[3], (TimedKnock{72000, voice::Knock::beat, true}));
  EXPECT_EQ(out->knocks[4], (TimedKnock{96000, voice::Knock::bar, false}));
  // The last note, at 186000, rings for 2.5 s and is stilled in 0.6 s.
  EXPECT_EQ(out->notes.back().end + out->notes.back().ring, 186000 + 120000);
  EXPECT_EQ(out->frames, 186000 + 120000 + 28800);
  EXPECT_EQ(out->notes[0].string, 0);
  EXPECT_EQ(out->notes[1].upward, 1);
}

TEST(Timeline, ClicksByNotesPerBeatAndOnTwoAndFour) {
  const IdeaSheet idea = demo::weaving(12, 3);
  const auto knocks = [&](ClickPattern pattern) {
    return lay_out(idea, idea.feels[0], {.piece = Piece::click, .bpm = Rational(60), .click = pattern}).value().knocks;
  };
  EXPECT_EQ(knocks(ClickPattern::off).size(), 0U);
  EXPECT_EQ(knocks(ClickPattern::bar).size(), 1U);
  EXPECT_EQ(knocks(ClickPattern::beat).size(), 4U);
  const auto fine = knocks(ClickPattern::subdivision);
  ASSERT_EQ(fine.size(), 12U);
  EXPECT_EQ(fine[1], (TimedKnock{16000, voice::Knock::subdivision, false}));
  const auto back = knocks(ClickPattern::backbeat);
  ASSERT_EQ(back.size(), 2U);
  EXPECT_EQ(back[0].frame, 48000);
  EXPECT_EQ(back[1].frame, 144000);
}

TEST(Timeline, AdditiveMetersAccentTheirGroups) {
  IdeaSheet idea = demo::weaving(14, 2);
  idea.meter = parse_meter("2+2+3/8").value();
  const auto out = lay_out(idea, idea.feels[0], {.piece = Piece::click, .bpm = Rational(200)}).value();
  using enum voice::Knock;
  const std::vector<voice::Knock> want = {bar, subdivision, beat, subdivision, beat, subdivision, subdivision};
  ASSERT_GE(out.knocks.size(), want.size());
  for (std::size_t i = 0; i < want.size(); ++i) EXPECT_EQ(out.knocks[i].knock, want[i]) << i;
  const auto demo = lay_out(idea, idea.feels[0], {.bpm = Rational(200)}).value();
  for (std::size_t i = 0; i < want.size(); ++i) EXPECT_EQ(demo.knocks[i].knock, want[i]) << "count-in " << i;
}

TEST(Timeline, TheVampsSwingIsPlayed) {
  IdeaSheet idea = demo::weaving(16, 4);
  idea.vamp.swing = Rational(2);
  const auto out =
      lay_out(idea, idea.feels[0], {.bpm = Rational(60), .click = ClickPattern::subdivision, .count_in_bars = 0})
          .value();
  EXPECT_EQ(out.notes[1].onset, 16000);  // a third of a beat, not a quarter
  EXPECT_EQ(out.notes[2].onset, 32000);
  EXPECT_EQ(out.notes[0].end, out.notes[1].onset);
  EXPECT_EQ(out.knocks[1].frame, 16000);
  const IdeaSheet threes = [&] {
    IdeaSheet other = demo::weaving(12, 3);
    other.vamp.swing = Rational(2);
    return other;
  }();
  EXPECT_EQ(lay_out(threes, threes.feels[0], {.bpm = Rational(60), .count_in_bars = 0}).value().notes[1].onset, 16000);
}

TEST(Timeline, EveryPassIsPlayedAnew) {
  const IdeaSheet idea = demo::weaving(16, 4);
  const auto out = lay_out(idea, idea.feels[0], {.bpm = Rational(120), .times = 3}).value();
  std::set<std::uint32_t> seeds;
  for (const auto& note : out.notes) seeds.insert(note.seed);
  EXPECT_EQ(seeds.size(), out.notes.size());
}

TEST(Timeline, APickUpSoundsInTheCountInAndAtTheLoopsEnd) {
  IdeaSheet idea = demo::empty_idea(demo::tunings().front());
  for (int i = -2; i < 8; ++i) demo::append(idea, Rational(i, 2), Rational(1, 2), 3, 5 + (i & 3));
  idea.feels[0].notes_per_beat = 2;
  const auto run = lay_out(idea, idea.feels[0], {.piece = Piece::demo, .bpm = Rational(60)}).value();
  EXPECT_EQ(run.notes.front().onset, 3 * 48000);  // one bar of count-in less one beat
  const auto loop = lay_out(idea, idea.feels[0], {.piece = Piece::loop, .bpm = Rational(60)}).value();
  // Body and pick-up together need five beats: the loop is two bars long.
  EXPECT_EQ(loop.frames, 8 * 48000);
  EXPECT_EQ(loop.notes.front().onset, 0);
  EXPECT_EQ(loop.notes.back().onset, 8 * 48000 - 24000);
  for (const auto& note : loop.notes) {
    EXPECT_GE(note.onset, 0);
    EXPECT_LE(note.end, loop.frames);
  }
}

TEST(Timeline, ALadderClimbsAndBurstsRest) {
  const IdeaSheet idea = demo::weaving(18, 4);
  const auto ladder =
      lay_out(idea, idea.feels[0], {.piece = Piece::ladder, .bpm = Rational(90), .ladder_from = Rational(60)}).value();
  ASSERT_EQ(ladder.marks.size(), 4U);
  EXPECT_EQ(ladder.marks[1].bpm, Rational(70));
  EXPECT_EQ(ladder.marks[3].name, "90 bpm");
  EXPECT_EQ(ladder.notes.size(), 4 * 18U);
  const auto bursts = lay_out(idea, idea.feels[0], {.piece = Piece::bursts, .bpm = Rational(120)}).value();
  ASSERT_EQ(bursts.marks.size(), 3U);
  EXPECT_EQ(bursts.notes.size(), 18U);
  EXPECT_GE(bursts.notes[6].onset - bursts.notes[5].end, 96000);  // at least a bar of rest
}

TEST(Timeline, RefusesWhatCannotBePlayed) {
  EXPECT_EQ(legal_tempo(std::nan("")).error().kind, ErrorKind::range);
  EXPECT_EQ(legal_tempo(0.0).error().repair, "10");
  EXPECT_EQ(legal_tempo(-5.0).error().repair, "10");
  EXPECT_EQ(legal_tempo(std::numeric_limits<double>::infinity()).error().kind, ErrorKind::range);
  EXPECT_EQ(legal_tempo(1e9).error().repair, "600");
  EXPECT_EQ(*legal_tempo(92.5), Rational(185, 2));

  const IdeaSheet fast = demo::weaving(24, 6);
  // 6 a beat at 300 bpm is exactly 30 a second; one beat a minute more is too many.
  EXPECT_TRUE(lay_out(fast, fast.feels[0], {.bpm = Rational(300)}).ok());
  const auto refused = lay_out(fast, fast.feels[0], {.bpm = Rational(301)});
  ASSERT_FALSE(refused.ok());
  EXPECT_EQ(refused.error().kind, ErrorKind::range);
  EXPECT_EQ(refused.error().repair, "300");
  EXPECT_FALSE(lay_out(fast, fast.feels[0], {.bpm = Rational(0)}).ok());
  EXPECT_FALSE(lay_out(fast, fast.feels[0], {.bpm = Rational(-60)}).ok());
  EXPECT_FALSE(lay_out(fast, fast.feels[0], {.bpm = Rational(60), .times = 0}).ok());

  IdeaSheet off = demo::weaving(4, 4);
  off.feels[0].notes[2].string = 7;
  EXPECT_EQ(lay_out(off, off.feels[0], {}).error().kind, ErrorKind::unreachable);
  off.feels[0].notes[2].string = 0;
  EXPECT_EQ(lay_out(off, off.feels[0], {}).error().kind, ErrorKind::unreachable);
  off.feels[0].notes[2].string = 1;
  off.feels[0].notes[2].fret = -1;
  EXPECT_EQ(lay_out(off, off.feels[0], {}).error().kind, ErrorKind::unreachable);
  const auto laid_out = [](const IdeaSheet& idea, const TimelineOptions& options) {
    return lay_out(idea, idea.feels[0], options);
  };
  EXPECT_TRUE(laid_out(demo::weaving(4, 4), {.bpm = Rational(10), .times = 64}).ok());
  EXPECT_EQ(laid_out(demo::weaving(192, 4), {.bpm = Rational(10), .times = 64}).error().kind, ErrorKind::limit);
  IdeaSheet neck = demo::weaving(4, 4);
  neck.instrument.neck.tuning.open.front() = spell_sharp(19);
  EXPECT_EQ(laid_out(neck, {}).error().what, "an open string must sound between G#0 and B5");
  neck.instrument.neck.capo = 1;
  EXPECT_TRUE(laid_out(neck, {}).ok());
  neck.instrument.neck.frets = 50;
  EXPECT_EQ(laid_out(neck, {}).error().what, "a string can be played up to fret 48");
}

}  // namespace
}  // namespace fretloom
