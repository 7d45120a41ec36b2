// The whole voice: strokes, onsets, amplifier, loops.

#include "sound/kernel/voice.h"

#include <gtest/gtest.h>

#include <cmath>
#include <memory>

#include "sound/kernel/math.h"
#include "play/render.h"
#include "sound/signal.h"

namespace fretloom {
namespace {

using signal::decibels;
using voice::PlayedNote;

struct Played {
  std::vector<float> left, right;
};

Played play(const std::vector<PlayedNote>& notes, const voice::Manner& manner, int voicing, int frames) {
  const double open[6] = {82.407, 110.0, 146.832, 195.998, 246.942, 329.628};
  auto instrument = std::make_unique<voice::Voice>();
  instrument->prepare(open, 6, false, voicing, manner);
  std::vector<voice::Event> events(notes.size() * voice::k_events_a_note);
  const int count = voice::perform(notes.data(), static_cast<int>(notes.size()), manner, events.data(),
                                   static_cast<int>(events.size()));
  EXPECT_GE(count, 0);
  instrument->start(events.data(), count);
  Played out{std::vector<float>(static_cast<std::size_t>(frames)),
             std::vector<float>(static_cast<std::size_t>(frames))};
  instrument->render(out.left.data(), out.right.data(), frames);
  return out;
}

PlayedNote note(int onset, int end, int string, int fret, bool up = false, voice::Touch touch = voice::Touch::pick) {
  PlayedNote n;
  n.onset = onset;
  n.end = end;
  n.string = string;
  n.fret = fret;
  n.upward = up ? 1 : 0;
  n.touch = touch;
  n.seed = 7;
  return n;
}

TEST(KernelMath, AgreesWithTheLibrary) {
  for (double x = -9.7; x < 9.7; x += 0.0917) {
    EXPECT_NEAR(voice::sin_of(x), std::sin(x), 1e-14);
    EXPECT_NEAR(voice::atan_of(x), std::atan(x), 1e-13);
    EXPECT_NEAR(voice::exp2_of(x) / std::exp2(x), 1.0, 1e-13);
    if (x <= 0) continue;
    EXPECT_NEAR(voice::log2_of(x), std::log2(x), 1e-13);
    EXPECT_NEAR(voice::sqrt_of(x) / std::sqrt(x), 1.0, 1e-15);
  }
}

TEST(Voice, EveryOnsetFallsOnItsFrameInEveryVoicing) {
  for (int voicing = 0; voicing < voice::k_voicings; ++voicing) {
    for (const int onset : {0, 1, 4364, 8727}) {
      const auto out = play({note(onset, onset + 4000, 3, 7)}, {}, voicing, 12000);
      int first = 0;
      while (first < 12000 && out.left[static_cast<std::size_t>(first)] == 0.0F) ++first;
      EXPECT_EQ(first, onset) << voice::voicing(voicing).name;
    }
  }
}

// In a run on one string nothing of a note sounds before its own contact with the pick (4 ms), and the
// stroke itself begins on the frame: the sound with and without the note's stroke differs from there on.
TEST(Voice, OnsetsInARunFallOnTheirFrames) {
  std::vector<PlayedNote> notes;
  for (int i = 0; i < 8; ++i) notes.push_back(note(4364 * i, 4364 * (i + 1), 2 + (i / 3) % 2, 5 + i % 3, i % 2 == 1));
  const auto whole = play(notes, {}, 0, 40000);
  for (std::size_t i = 1; i < notes.size(); ++i) {
    auto changed = notes;
    changed[i].accent = 1;  // only the strength of stroke i
    const auto other = play(changed, {}, 0, 40000);
    std::size_t first = 0;
    while (first < 40000 && whole.left[first] == other.left[first]) ++first;
    EXPECT_EQ(static_cast<std::int64_t>(first), notes[i].onset);
  }
}

TEST(Voice, AnUpstrokeIsBrighterByAsMuchAsAsked) {
  for (const int string : {0, 2, 5}) {
    double last = 1.0;
    for (const double colour : {0.0, 0.5, 1.0, 2.0}) {
      voice::Manner manner;
      manner.stroke_colour = colour;
      const auto down = play({note(0, 24000, string, 7, false)}, manner, 0, 24000);
      const auto up = play({note(0, 24000, string, 7, true)}, manner, 0, 24000);
      const double ratio = signal::centroid(up.left, 0, 8192, 10000) / signal::centroid(down.left, 0, 8192, 10000);
      if (colour == 0.0) {
        EXPECT_NEAR(ratio, 1.0, 0.02);
      } else {
        EXPECT_GT(ratio, last + 0.02) << "string " << string << " colour " << colour;
      }
      last = ratio;
    }
    EXPECT_GT(last, 1.15);
  }
}

TEST(Voice, AnAccentIsLouderAndBrighter) {
  PlayedNote plain = note(0, 24000, 3, 5);
  PlayedNote accented = plain;
  accented.accent = 1;
  const auto a = play({plain}, {}, 0, 24000);
  const auto b = play({accented}, {}, 0, 24000);
  double pa = 0, pb = 0;
  for (std::size_t i = 0; i < 9600; ++i) {
    pa += static_cast<double>(a.left[i] * a.left[i]);
    pb += static_cast<double>(b.left[i] * b.left[i]);
  }
  EXPECT_NEAR(10 * std::log10(pb / pa), 3.2, 1.0);
  EXPECT_GT(signal::centroid(b.left, 0, 8192, 10000), 1.02 * signal::centroid(a.left, 0, 8192, 10000));
}

TEST(Voice, ASlideClimbsThroughTheFretsAndArrivesOnItsBeat) {
  voice::Manner manner;
  manner.slide_seconds = 0.4;  // slow, so that a transform can see every fret
  const auto out = play({note(0, 48000, 3, 5), note(48000, 96000, 3, 9, false, voice::Touch::slide)}, manner, 0, 96000);
  const auto want = [](int fret) { return 195.998 * std::pow(2.0, fret / 12.0); };
  // Four frets in 0.4 s: fret 6 from 0.7 s, 7 from 0.8 s, 8 from 0.9 s, and 9 on the beat at 1 s.
  for (int k = 1; k <= 4; ++k) {
    const auto from = static_cast<std::size_t>(48000 - 19200 + 4800 * k + 144);
    const double heard = signal::peak_hz(out.left, from, 4096, want(5 + k), 70);
    EXPECT_NEAR(1200 * std::log2(heard / want(5 + k)), 0.0, 12.0) << "fret " << 5 + k;
  }
  const double before = signal::peak_hz(out.left, 48000 - 19200 - 4800, 4096, want(5), 70);
  EXPECT_NEAR(1200 * std::log2(before / want(5)), 0.0, 12.0);
  const double settled = signal::peak_hz(out.left, 48144, 16384, want(9), 70);
  EXPECT_NEAR(1200 * std::log2(settled / want(9)), 0.0, 3.0);
}

TEST(Voice, AStringIsDampedWhenTheHandLeavesIt) {
  // A on string 2 (open), then a note two strings on: 0.2 s later the A is 30 dB down, room and all.
  const auto out = play({note(0, 24000, 1, 0), note(24000, 96000, 4, 7, true)}, {}, 0, 48000);
  const double before = decibels(signal::tone_level(out.left, 19000, 4800, 110.0));
  const double after = decibels(signal::tone_level(out.left, 24000 + 9600, 9600, 110.0));
  EXPECT_LT(after, before - 30.0);
}

TEST(Voice, TheLengthOfACallDoesNotShow) {
  std::vector<PlayedNote> notes;
  for (int i = 0; i < 6; ++i) notes.push_back(note(5000 * i, 5000 * (i + 1), i, 3 + i, i % 2 == 1));
  const double open[6] = {82.407, 110.0, 146.832, 195.998, 246.942, 329.628};
  std::vector<voice::Event> events(200);
  const int count = voice::perform(notes.data(), 6, {}, events.data(), 200);
  const auto run = [&](int chunk) {
    auto instrument = std::make_unique<voice::Voice>();
    instrument->prepare(open, 6, false, 1, {});
    instrument->start(events.data(), count);
    std::vector<float> left(38400), right(38400);
    for (int i = 0; i < 38400; i += chunk) instrument->render(left.data() + i, right.data() + i, chunk);
    return left;
  };
  EXPECT_EQ(run(64), run(6400));
  EXPECT_EQ(run(128), run(38400));
}

// The limit: nothing above -60 dB but harmonics, for sines up to 4 kHz at full drive. The tones
// are prime frequencies, so that no alias lands on a harmonic. Measured before the loudspeaker, which
// would hide what lies above 5 kHz.
TEST(Amplifier, DrivenSinesHaveNoAliases) {
  double worst = -200;
  for (int index = 0; index < voice::k_voicings; ++index) {
    for (const double hz : {331.0, 997.0, 1999.0, 2999.0, 3989.0}) {
      for (const double amplitude : {0.25, 1.0}) {
        auto amplifier = std::make_unique<voice::Amplifier>();
        amplifier->prepare(voice::voicing(index));
        std::vector<float> out(48000 + 4800);
        for (std::size_t i = 0; i < out.size(); ++i) {
          out[i] = static_cast<float>(
              amplifier->drive(amplitude * std::sin(2 * M_PI * hz * static_cast<double>(i) / k_sample_rate)));
        }
        const std::size_t size = 48000;  // one bin a hertz: every harmonic lies on a bin
        const auto magnitude = signal::spectrum(out, 4800, size);
        const double first = magnitude[static_cast<std::size_t>(hz)];
        for (std::size_t k = 20; k < 20000; ++k) {
          const double off = std::abs(static_cast<double>(k) / hz - std::round(static_cast<double>(k) / hz)) * hz;
          if (off < 5) continue;  // the harmonic and the skirt of its window
          const double level = decibels(magnitude[k] / first);
          worst = std::max(worst, level);
          ASSERT_LT(level, -60.0) << voice::voicing(index).name << " " << hz << " Hz: alias at " << k << " Hz";
        }
      }
    }
  }
  std::printf("loudest alias %.1f dB\n", worst);
}

TEST(Amplifier, TheLeadVoicingDrivesAndTheDirectOneDoesNot) {
  const auto third = [](const char* name) {
    auto amplifier = std::make_unique<voice::Amplifier>();
    amplifier->prepare(voice::voicing(*parse_voicing(name)));
    std::vector<float> out(48000);
    for (std::size_t i = 0; i < out.size(); ++i)
      out[i] = static_cast<float>(0.3 * std::sin(2 * M_PI * 400.0 * static_cast<double>(i) / 48000));
    amplifier->run(out.data(), 48000);
    return decibels(signal::tone_level(out, 24000, 12000, 1200) / signal::tone_level(out, 24000, 12000, 400));
  };
  EXPECT_LT(third("direct"), -100);
  EXPECT_LT(third("clean"), -25);
  EXPECT_GT(third("crunch"), third("clean") + 10);
  EXPECT_GT(third("lead"), -15);
}

TEST(Amplifier, AllVoicingsHaveTheirNames) {
  EXPECT_EQ(voicing_names(), (std::vector<std::string_view>{"direct", "clean", "warm", "crunch", "lead", "bass"}));
  EXPECT_EQ(parse_voicing(" Lead "), 4);
  EXPECT_FALSE(parse_voicing("loud").has_value());
}

TEST(Render, ALoopJoinsItsOwnStart) {
  for (const int notes : {16, 24, 31}) {
    const IdeaSheet idea = demo::weaving(notes, 4);
    const auto timeline = lay_out(idea, idea.feels[0], {.piece = Piece::loop, .bpm = Rational(132)}).value();
    const auto tracks = render(idea.instrument, timeline, {}).value();
    ASSERT_EQ(tracks.strings.frames(), timeline.frames);
    const auto x = signal::left(tracks.strings);
    double ordinary = 0;
    for (std::size_t i = 1; i < x.size(); ++i)
      ordinary = std::max(ordinary, std::abs(static_cast<double>(x[i] - x[i - 1])));
    // Where the first note falls on the seam its stroke is part of it: an ordinary step all the same.
    EXPECT_LE(std::abs(x.front() - x.back()), ordinary);
    // And the loop goes on as it began: a turn later the same frames come again.
    auto later = timeline;
    const auto again = render(idea.instrument, later, {}).value();
    EXPECT_EQ(again.strings.samples, tracks.strings.samples);
  }
}

// The true continuation: render the loop as a long demo and compare its fourth turn's first frames with
// the kept turn's first frames.
TEST(Render, ALoopsStartRingsWithItsEnd) {
  IdeaSheet idea = demo::weaving(30, 4);
  const auto loop = lay_out(idea, idea.feels[0], {.piece = Piece::loop, .bpm = Rational(120)}).value();
  const auto kept = signal::left(render(idea.instrument, loop, {}).value().strings);
  const auto run =
      lay_out(idea, idea.feels[0],
              {.piece = Piece::demo, .bpm = Rational(120), .click = ClickPattern::off, .count_in_bars = 0, .times = 6})
          .value();
  const auto whole = signal::left(render(idea.instrument, run, {}).value().strings);
  double worst = 0;
  const auto turn = static_cast<std::size_t>(loop.frames);
  for (std::size_t i = 0; i < turn; ++i)
    worst = std::max(worst, std::abs(static_cast<double>(whole[4 * turn + i] - kept[i])));
  EXPECT_LT(decibels(worst), -80.0);
}

TEST(Render, PlaysABassAsABass) {
  IdeaSheet bass = demo::empty_idea(demo::tunings().back());
  demo::append(bass, 0, 1, 4, 3);
  const auto timeline = lay_out(bass, bass.feels[0], {}).value();
  const auto sound = [&](const char* voicing) {
    return render(bass.instrument, timeline, {parse_voicing(voicing), {}}).value().strings.samples;
  };
  const auto usual = render(bass.instrument, timeline, {}).value().strings.samples;
  EXPECT_EQ(usual, sound("bass"));
  EXPECT_NE(usual, sound("clean"));
  for (const auto& tuning : demo::tunings())
    EXPECT_EQ(demo::empty_idea(tuning).instrument.is_bass(), tuning.bass) << tuning.name;
}

TEST(Render, StopsWhenTold) {
  StopFlag stop{true};
  const IdeaSheet idea = demo::weaving(30, 4);
  const auto out = render(idea.instrument, lay_out(idea, idea.feels[0], {}).value(), {}, &stop);
  ASSERT_FALSE(out.ok());
  EXPECT_EQ(out.error().kind, ErrorKind::stopped);
}

}  // namespace
}  // namespace fretloom
