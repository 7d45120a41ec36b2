// The band in files: which there are, how loud, how long, and that their parts add up.

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "band/random_vamp.h"
#include "outside.h"
#include "sound/loudness.h"
#include "sound/signal.h"
#include "sound/sound_take.h"

namespace fretloom {
namespace {

Handout lesson(const std::string& rhythm = "sixteenths", const std::string& meter = "4/4",
               const std::string& chords = "Em7 | A7") {
  IdeaSheet idea = demo::weaving(30, 4);
  const IdeaSheet over = vamp_idea(rhythm, meter, chords);
  idea.key = over.key;
  idea.meter = over.meter;
  idea.vamp = over.vamp;
  idea.name = "One";
  Handout handout;
  handout.prose.title = "Band";
  handout.ideas = {idea};
  return handout;
}

SoundChoice with_band(std::vector<Piece> pieces) {
  SoundChoice choice;
  choice.pieces = std::move(pieces);
  choice.backings = {Backing::band};
  choice.tempos = {Rational(120)};
  auto samples = std::make_shared<BandSamples>();
  if (samples->check()) choice.samples = samples;
  return choice;
}

using Stems = std::array<Audio, k_stems>;

Stems play(SoundJob job) {
  Stems stems;
  job.stems = {Stem::strings, Stem::click, Stem::band, Stem::no_bass, Stem::drums, Stem::bass, Stem::chords};
  const auto played = play_take(job, [&](const TakePieces& pieces) {
    for (std::size_t s = 0; s < k_stems; ++s) {
      const auto& more = pieces.lossless.stems[s];
      stems[s].samples.insert(stems[s].samples.end(), more.begin(), more.end());
    }
    return Result<void>();
  });
  EXPECT_TRUE(played.ok()) << played.error().what;
  if (!played) return stems;
  EXPECT_EQ(stems[0].frames(), played->frames);
  return stems;
}
const Audio& of(const Stems& stems, Stem stem) { return stems[static_cast<std::size_t>(stem)]; }

TEST(BandFiles, AreNamedForWhatTheyHold) {
  SoundChoice choice = with_band({Piece::demo, Piece::loop, Piece::click, Piece::bursts, Piece::band});
  choice.backings = {Backing::none, Backing::band};
  choice.tempos = {Rational(60), Rational(185, 2)};
  Handout handout = lesson();
  std::vector<std::string> files;
  for (const SoundJob& job : plan_sound(handout, choice).value()) {
    if (job.file.find("-060") == std::string::npos) continue;
    files.push_back(job.file);
    EXPECT_EQ(job.has_band(), job.file.find("band") != std::string::npos) << job.file;
  }
  EXPECT_EQ(files, (std::vector<std::string>{"01-one-4-a-beat-demo-060", "01-one-4-a-beat-demo-with-band-060",
                                             "01-one-4-a-beat-loop-060", "01-one-4-a-beat-loop-with-band-060",
                                             "01-one-4-a-beat-click-060", "01-one-4-a-beat-bursts-060", "band-060"}));
  // An idea over other chords has a band of its own; without tempos it plays the ladder.
  handout.ideas.push_back(lesson("shuffle").ideas[0]);
  handout.ideas.push_back(handout.ideas[0]);
  for (std::size_t i = 0; i < 3; ++i) handout.ideas[i].number = static_cast<int>(i) + 1;
  choice = with_band({Piece::band});
  choice.tempos.clear();
  const auto bands = plan_sound(handout, choice).value();
  EXPECT_EQ(bands.front().file, "01-band-060");
  EXPECT_EQ(bands.back().file, "02-band-120");
  EXPECT_EQ(bands.size(), 14U);
}

TEST(BandFiles, AStemThatASoundHasNotIsLeftOut) {
  SoundChoice choice = with_band({Piece::demo, Piece::band});
  choice.stems = {Stem::strings};
  EXPECT_EQ(plan_sound(lesson(), choice).value().size(), 1U);
  choice.stems = {Stem::no_bass};
  EXPECT_EQ(plan_sound(lesson(), choice).value().size(), 2U);
  choice.backings = {Backing::none};
  choice.pieces = {Piece::demo};
  EXPECT_FALSE(plan_sound(lesson(), choice));
}

TEST(BandFiles, PartsAddUpAndAreAsLoudAsTheyShould) {
  for (const Piece piece : {Piece::demo, Piece::loop, Piece::band}) {
    const SoundJob job = plan_sound(lesson(), with_band({piece})).value().front();
    const Stems stems = play(job);
    for (std::size_t i = 0; i < of(stems, Stem::mix).samples.size(); ++i) {
      const auto at = [&](Stem stem) { return of(stems, stem).samples[i]; };
      ASSERT_NEAR(at(Stem::mix), at(Stem::strings) + at(Stem::click) + at(Stem::band), 1e-5) << i;
      ASSERT_NEAR(at(Stem::band), at(Stem::bass) + at(Stem::no_bass), 1e-5) << i;
      ASSERT_NEAR(at(Stem::no_bass), at(Stem::chords) + at(Stem::drums), 1e-5) << i;
    }
    const Loudness mix = measure_loudness(of(stems, Stem::mix)).value();
    EXPECT_NEAR(mix.integrated_lufs, -16.0, 0.2) << name(piece);
    EXPECT_LE(mix.true_peak_dbtp, -0.99) << name(piece);
    if (piece == Piece::band || !job.samples) continue;
    const double lick = measure_loudness(of(stems, Stem::strings))->integrated_lufs;
    const double band = measure_loudness(of(stems, Stem::band))->integrated_lufs;
    EXPECT_GE(lick - band, 5.0) << name(piece);
    EXPECT_LE(lick - band, 7.0) << name(piece);
  }
}

TEST(BandFiles, LoopsHoldWholeTurns) {
  const auto frames = [](const Handout& handout, Piece piece, int tempo) {
    SoundChoice choice = with_band({piece});
    choice.tempos = {Rational(tempo)};
    const SoundJob job = plan_sound(handout, choice).value().front();
    return lay_out(job.idea, job.score(), job.timeline)->frames;
  };
  for (const int tempo : {60, 97, 132, 400}) {
    EXPECT_EQ(frames(lesson(), Piece::band, tempo), frame_of(Rational(32), Rational(tempo))) << tempo;
    // Two bars of lick go four times into eight of the band.
    EXPECT_EQ(frames(lesson(), Piece::loop, tempo), frame_of(Rational(32), Rational(tempo))) << tempo;
  }
  EXPECT_EQ(frames(lesson("eighths", "4/4", "Em7 | A7 | G"), Piece::band, 60), frame_of(Rational(48), Rational(60)));
}

/// What no band was made for is played all the same.
TEST(BandFiles, HardInputIsPlayed) {
  struct Hard {
    const char* rhythm;
    const char* meter;
    const char* chords;
    int bpm;
  };
  for (const Hard& hard : {Hard{"sixteenths", "1/16", "Em7", 400}, Hard{"shuffle", "6/8", "Em7 | A7", 84},
                           Hard{"gallop", "13/4", "Abmaj13 | C#m7b5/B", 400}, Hard{"held", "4/4", "E5", 10},
                           Hard{"triplets", "1/16", "Em7 | A7 | D", 400}}) {
    Handout handout = lesson(hard.rhythm, hard.meter, hard.chords);
    if (hard.bpm < 400) handout.ideas[0].vamp.swing = Rational(2);  // four swung notes a beat at 400 are too many
    SoundChoice choice = with_band({Piece::band});
    choice.tempos = {Rational(hard.bpm)};
    const auto jobs = plan_sound(handout, choice);
    ASSERT_TRUE(jobs.ok()) << hard.meter << jobs.error().what;
    const Stems stems = play(jobs->front());
    for (const float x : of(stems, Stem::mix).samples) ASSERT_TRUE(std::isfinite(x)) << hard.meter;
    EXPECT_LE(measure_loudness(of(stems, Stem::mix))->true_peak_dbtp, -0.99) << hard.meter;
  }
}

TEST(BandFiles, WithoutTheSoundFontBassAndGuitarPlay) {
  SoundChoice choice = with_band({Piece::demo, Piece::band});
  choice.samples.reset();
  for (const SoundJob& job : plan_sound(lesson(), choice).value()) {
    const Stems stems = play(job);
    const auto peak = [&](Stem stem) {
      return *std::max_element(of(stems, stem).samples.begin(), of(stems, stem).samples.end());
    };
    EXPECT_GT(peak(Stem::bass), 0.02F) << job.file;
    EXPECT_GT(peak(Stem::chords), 0.02F) << job.file;
    EXPECT_EQ(peak(Stem::drums), 0.0F) << job.file;
  }
}

TEST(BandFiles, OneThreadAndTwoWriteTheSameBytes) {
  const test::Folder one;
  const test::Folder two;
  // The sounds are rendered in the order that the threads ask for them.
  const auto written = [](const test::Folder& folder, int threads) {
    SoundChoice choice = with_band({Piece::demo, Piece::loop, Piece::band});
    choice.tempos = {Rational(90), Rational(132)};
    choice.formats = {AudioFormat::wav};
    std::vector<std::string> bytes;
    for (const SoundFileInfo& file :
         run_sound_jobs(plan_sound(lesson("triplets"), choice).value(), folder.path(), threads).value())
      bytes.push_back(test::bytes_of(file.path));
    return bytes;
  };
  const auto first = written(one, 1);
  EXPECT_EQ(first.size(), 6U);
  EXPECT_TRUE(first == written(two, 2));
}

}  // namespace
}  // namespace fretloom
