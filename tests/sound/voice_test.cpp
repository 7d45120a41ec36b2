// The whole voice: strokes, onsets, amplifier, loops.

#include "sound/kernel/voice.h"

#include <gtest/gtest.h>

#include <cmath>
#include <memory>

#include "play/render.h"
#include "sound/kernel/math.h"
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

// Before the frame there is at most the tick of the pick coming to rest (4.5 ms, 26 dB down); on it the string is let
// go.
TEST(Voice, EveryOnsetFallsOnItsFrameInEveryVoicing) {
  voice::Manner manner;
  manner.hiss = 0;
  for (int voicing = 0; voicing < voice::k_voicings; ++voicing) {
    for (const int onset : {0, 1, 4364, 8727}) {
      const auto out = play({note(onset, onset + 4000, 3, 7)}, manner, voicing, 14000);
      PlayedNote accented = note(onset, onset + 4000, 3, 7);
      accented.accent = 1;
      const auto other = play({accented}, manner, voicing, 14000);
      std::size_t first = 0;
      while (first < 12000 && out.left[first] == other.left[first]) ++first;
      // Where the tick still rings the first frame's difference may be less than a float can tell.
      EXPECT_GE(first, static_cast<std::size_t>(onset)) << voice::voicing(voicing).name;
      EXPECT_LE(first, static_cast<std::size_t>(onset + 1)) << voice::voicing(voicing).name;
      float before = 0, after = 0;
      for (std::size_t i = 0; i < 14000; ++i) {
        float& most = i < first ? before : after;
        most = std::max(most, std::abs(out.left[i]));
        if (onset > 500 && i + 400 < first) {
          ASSERT_EQ(out.left[i], 0.0F);
        }
      }
      EXPECT_LT(before, 0.05F * after) << voice::voicing(voicing).name;
    }
  }
}

// In a run on one string nothing of a note sounds before its own contact with the pick (4.5 ms), and the
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
        EXPECT_GT(ratio, last + 0.001) << "string " << string << " colour " << colour;
      }
      last = ratio;
    }
    EXPECT_GT(last, 1.03);
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

TEST(Amplifier, TheSingingVoicingDrivesAndThePlainOneDoesNot) {
  const auto third = [](const char* name) {
    auto amplifier = std::make_unique<voice::Amplifier>();
    amplifier->prepare(voice::voicing(*parse_voicing(name)));
    std::vector<float> out(48000);
    for (std::size_t i = 0; i < out.size(); ++i)
      out[i] = static_cast<float>(0.3 * std::sin(2 * M_PI * 400.0 * static_cast<double>(i) / 48000));
    amplifier->run(out.data(), 48000);
    return decibels(signal::tone_level(out, 24000, 12000, 1200) / signal::tone_level(out, 24000, 12000, 400));
  };
  EXPECT_LT(third("plain"), -100);
  EXPECT_LT(third("bright"), -25);
  EXPECT_GT(third("gritty"), third("bright") + 10);
  EXPECT_GT(third("singing"), -15);
}

TEST(Amplifier, AllVoicingsHaveTheirNames) {
  EXPECT_EQ(voicing_names(),
            (std::vector<std::string_view>{"plain", "bright", "dark", "gritty", "singing", "woody", "deep"}));
  EXPECT_EQ(parse_voicing(" Singing "), 4);
  EXPECT_FALSE(parse_voicing("loud").has_value());
}

// --- what a played string does ---

double level_of(const std::vector<float>& x, std::size_t from, std::size_t count) {
  double sum = 0;
  for (std::size_t i = from; i < from + count; ++i) sum += static_cast<double>(x[i]) * static_cast<double>(x[i]);
  return 10.0 * std::log10(sum / static_cast<double>(count) + 1e-20);
}

double band_of(const std::vector<float>& x, std::size_t from, std::size_t size, double low, double high) {
  const auto bins = signal::spectrum(x, from, size);
  double sum = 0;
  for (std::size_t k = 1; k < bins.size(); ++k) {
    const double hz = static_cast<double>(k) * k_sample_rate / static_cast<double>(size);
    if (hz >= low && hz < high) sum += bins[k] * bins[k];
  }
  return 10.0 * std::log10(sum + 1e-20);
}

TEST(Voice, UpAndDownDifferByAtMostFourDecibelsAboveFourKilohertz) {
  for (int string = 0; string < 6; ++string) {
    for (const int fret : {0, 3, 7, 12}) {
      const auto down = play({note(0, 48000, string, fret, false)}, {}, 1, 24000);
      const auto up = play({note(0, 48000, string, fret, true)}, {}, 1, 24000);
      EXPECT_LT(std::abs(band_of(up.left, 0, 16384, 4000, 12000) - band_of(down.left, 0, 16384, 4000, 12000)), 4.0)
          << string << " " << fret;
    }
  }
}

TEST(Voice, SlursAreAsLoudAsStrokesWhateverRangBefore) {
  using voice::Touch;
  constexpr int k_gap = 6000;
  voice::Manner manner;
  manner.variance = 0;
  for (int string = 0; string < 6; ++string) {
    const auto slurs = play(
        {note(4800, 4800 + k_gap, string, 5), note(4800 + k_gap, 4800 + 2 * k_gap, string, 7, false, Touch::hammer),
         note(4800 + 2 * k_gap, 4800 + 3 * k_gap, string, 5, false, Touch::pull),
         note(4800 + 3 * k_gap, 4800 + 4 * k_gap, string, 7, false, Touch::hammer)},
        manner, 1, 48000);
    double low = 100, high = -100;
    for (std::size_t i = 0; i < 4; ++i) {
      const double level = level_of(slurs.left, 4800 + i * k_gap + 240, 4800);
      low = std::min(low, level);
      high = std::max(high, level);
    }
    EXPECT_LT(high - low, 6.0) << "string " << string;
    const auto pull =
        play({note(4800, 4800 + k_gap, string, 7), note(4800 + k_gap, 4800 + 2 * k_gap, string, 5, false, Touch::pull)},
             manner, 1, 48000);
    EXPECT_NEAR(level_of(pull.left, 4800 + k_gap + 240, 4800), level_of(slurs.left, 4800 + 2 * k_gap + 240, 4800), 2.0)
        << "string " << string;
  }
}

TEST(Voice, NoTwoStrokesAreAlikeAndEachIsRepeatable) {
  std::vector<double> levels;
  for (std::uint32_t seed = 1; seed <= 24; ++seed) {
    PlayedNote n = note(480, 48000, 3, 7);
    n.seed = seed;
    const auto once = play({n}, {}, 1, 24000);
    EXPECT_EQ(once.left, play({n}, {}, 1, 24000).left);
    levels.push_back(level_of(once.left, 480, 9600));
  }
  double mean = 0, square = 0;
  for (const double l : levels) mean += l / 24.0;
  for (const double l : levels) square += (l - mean) * (l - mean) / 24.0;
  EXPECT_GT(std::sqrt(square), 0.5);
  EXPECT_LT(std::sqrt(square), 1.6);
}

TEST(Voice, TheBodyOfANoteFallsFastAndItsEndSlowly) {
  for (int voicing = 0; voicing < voice::k_voicings; ++voicing) {
    const auto& name = voice::voicing(voicing).name;
    if (voice::voicing(voicing).stages > 1) continue;  // distortion holds the level
    double early = 0, late = 0;
    for (const auto& [string, fret] : {std::pair{1, 2}, std::pair{2, 7}, std::pair{3, 5}, std::pair{4, 5}}) {
      const auto x = play({note(0, 192000, string, fret)}, {}, voicing, 144000).left;
      early += (level_of(x, 2400, 4800) - level_of(x, 21600, 4800)) / 0.4 / 4;
      late += (level_of(x, 48000, 4800) - level_of(x, 105600, 4800)) / 1.2 / 4;
    }
    EXPECT_GT(early, 1.15 * late) << name;
    EXPECT_GT(late, 3.0) << name;
  }
}

TEST(Voice, ASwayingFingerBendsUpwardAndComesBack) {
  PlayedNote n = note(0, 144000, 3, 7);
  n.vibrato = 1;
  voice::Manner manner;
  manner.vibrato_cents = 40;
  const auto x = play({n}, manner, 0, 144000).left;
  const double want = 195.998 * std::pow(2.0, 7 / 12.0);
  double low = 1e9, high = -1e9;
  for (std::size_t from = 48000; from + 4096 < 100000; from += 960) {
    const double cents = 1200 * std::log2(signal::peak_hz(x, from, 4096, want, 90) / want);
    low = std::min(low, cents);
    high = std::max(high, cents);
  }
  EXPECT_NEAR(low, 5.0, 7.0);  // the window of 85 ms is half a sway: it sees less than the whole way
  EXPECT_NEAR(high, 36.0, 9.0);
  const double before = 1200 * std::log2(signal::peak_hz(x, 2400, 8192, want, 90) / want);
  EXPECT_NEAR(before, 0.0, 3.0);
}

TEST(Voice, TheNoiseFloorIsThereAndLow) {
  for (int voicing = 0; voicing < voice::k_voicings; ++voicing) {
    const auto x = play({note(40000, 48000, 3, 7)}, {}, voicing, 48000).left;
    const double floor = level_of(x, 4800, 30000);
    EXPECT_GT(floor, -110.0);
    EXPECT_LT(floor, level_of(x, 40000, 4800) - 50.0) << voice::voicing(voicing).name;
  }
}

TEST(Voice, TimingStaysExactUnlessAskedFor) {
  std::vector<PlayedNote> notes;
  for (int i = 0; i < 12; ++i) notes.push_back(note(6000 * (i + 1), 6000 * (i + 2), i % 6, 5));
  for (std::size_t i = 0; i < notes.size(); ++i) notes[i].seed = static_cast<std::uint32_t>(i + 1);
  const auto plucks = [&](double seconds) {
    voice::Manner manner;
    manner.timing_seconds = seconds;
    std::vector<voice::Event> events(notes.size() * voice::k_events_a_note);
    const int count = voice::perform(notes.data(), static_cast<int>(notes.size()), manner, events.data(),
                                     static_cast<int>(events.size()));
    std::vector<std::int64_t> frames;
    for (int i = 0; i < count; ++i) {
      if (events[static_cast<std::size_t>(i)].deed == voice::Deed::pluck)
        frames.push_back(events[static_cast<std::size_t>(i)].frame);
    }
    return frames;
  };
  const auto exact = plucks(0.0);
  const auto loose = plucks(0.01);
  ASSERT_EQ(exact.size(), notes.size());
  ASSERT_EQ(loose.size(), notes.size());
  std::int64_t moved = 0;
  for (std::size_t i = 0; i < notes.size(); ++i) {
    EXPECT_EQ(exact[i], notes[i].onset);
    EXPECT_LE(std::abs(loose[i] - exact[i]), 1500);
    moved = std::max(moved, std::abs(loose[i] - exact[i]));
  }
  EXPECT_GT(moved, 100);
}

// Named by what is heard: every two stand 3 dB apart in some third of the spectrum, the whole being equally loud.
TEST(Amplifier, EveryTwoVoicingsAreTold) {
  std::vector<std::vector<double>> thirds;
  for (int voicing = 0; voicing < voice::k_voicings; ++voicing) {
    std::vector<double> sums;
    for (double low = 70; low < 9000; low *= std::exp2(1.0 / 3)) {
      double power = 0;
      for (const auto& [string, fret] : {std::pair{0, 3}, std::pair{2, 2}, std::pair{3, 7}, std::pair{5, 5}}) {
        const auto x = play({note(0, 96000, string, fret)}, {}, voicing, 32768).left;
        power += std::pow(10.0, band_of(x, 0, 32768, low, low * std::exp2(1.0 / 3)) / 10);
      }
      sums.push_back(power);
    }
    double all = 0;
    for (const double p : sums) all += p;
    for (double& p : sums) p = 10 * std::log10(p / all + 1e-6);  // what lies 60 dB down is not heard
    thirds.push_back(sums);
  }
  for (std::size_t a = 0; a < thirds.size(); ++a) {
    for (std::size_t b = a + 1; b < thirds.size(); ++b) {
      double most = 0;
      for (std::size_t i = 0; i < thirds[a].size(); ++i) {
        if (std::max(thirds[a][i], thirds[b][i]) > -30) most = std::max(most, std::abs(thirds[a][i] - thirds[b][i]));
      }
      EXPECT_GT(most, 3.0) << voice::voicing(static_cast<int>(a)).name << " and "
                           << voice::voicing(static_cast<int>(b)).name;
    }
  }
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
  RenderOptions options;
  options.manner.hiss = 0;  // noise does not come again
  const auto kept = signal::left(render(idea.instrument, loop, options).value().strings);
  auto run =
      lay_out(idea, idea.feels[0],
              {.piece = Piece::demo, .bpm = Rational(120), .click = ClickPattern::off, .count_in_bars = 0, .times = 6})
          .value();
  for (std::size_t i = 0; i < run.notes.size(); ++i) run.notes[i].seed = loop.notes[i % loop.notes.size()].seed;
  const auto whole = signal::left(render(idea.instrument, run, options).value().strings);
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
  EXPECT_EQ(usual, sound("deep"));
  EXPECT_NE(usual, sound("bright"));
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
