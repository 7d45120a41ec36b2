// Files as other programs see them, and jobs: threads, stops, bad folders, full disks.

#include "files/files.h"

#include <gtest/gtest.h>
#include <sys/stat.h>

#include <array>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <limits>
#include <mutex>

#include "outside.h"
#include "sound/jobs.h"
#include "sound/kernel/voice.h"
#include "sound/loudness.h"
#include "sound/ogg_serial.h"
#include "sound/signal.h"
#include "sound/sound_take.h"

namespace fretloom {
namespace {

namespace fs = std::filesystem;

using test::bytes_of;
using test::Folder;
using test::have_tool;
using test::run_tool;
using test::ToolRun;

Audio short_tune() {
  const IdeaSheet idea = demo::weaving(13, 4);
  const auto timeline = lay_out(idea, idea.feels[0], {.bpm = Rational(131), .count_in_bars = 0}).value();
  Audio audio = render(idea.instrument, timeline, {}).value().strings;
  for (float& x : audio.samples) x *= 0.4F;
  return audio;
}

const AudioTags k_tags = {"Weaving, 4 a beat",     "Demo Teacher", "Climbing sixes",
                          "E dorian \xE2\x99\xAD", "CC BY 4.0",    3};
constexpr std::array k_formats = {AudioFormat::wav, AudioFormat::flac, AudioFormat::opus, AudioFormat::mp3};

TEST(Files, GiveBackExactlyTheirFrames) {
  const Folder folder;
  const Audio audio = short_tune();
  for (const AudioFormat format : k_formats) {
    const std::string path = folder / ("tune." + std::string(name(format)));
    const auto bytes = encode(audio, format, k_tags);
    ASSERT_TRUE(bytes.ok()) << bytes.error().what;
    ASSERT_TRUE(write_file(path, *bytes).ok());
    const auto back = read_audio(path);
    ASSERT_TRUE(back.ok()) << back.error().what;
    EXPECT_EQ(back->frames(), audio.frames()) << name(format);
    double worst = 0;
    for (std::size_t i = 0; i < audio.samples.size(); ++i) {
      worst = std::max(worst, static_cast<double>(std::abs(back->samples[i] - audio.samples[i])));
    }
    EXPECT_LT(worst, is_lossy(format) ? 0.2 : 1.3e-7) << name(format);
  }
}

TEST(Files, OtherProgramsReadThemWithExactFrameCounts) {
  for (const char* tool : {"sox", "ffprobe", "ffmpeg", "flac"}) {
    if (!have_tool(tool)) GTEST_SKIP() << tool << " is not installed";
  }
  const Folder folder;
  const Audio audio = short_tune();
  const std::string frames = std::to_string(audio.frames());
  for (const AudioFormat format : k_formats) {
    const std::string path = folder / ("tune." + std::string(name(format)));
    ASSERT_TRUE(write_file(path, encode(audio, format, k_tags).value()).ok());
    const ToolRun decoded = run_tool("ffmpeg -v error -i " + path + " -f s16le -ac 2 -ar 48000 - | wc -c");
    EXPECT_EQ(std::atoll(decoded.out.c_str()), audio.frames() * 4) << name(format);
    const ToolRun probe = run_tool(
        "ffprobe -v error -show_entries stream=sample_rate,channels -show_entries format_tags -show_entries "
        "stream_tags " +
        path);
    EXPECT_NE(probe.out.find("sample_rate=48000"), std::string::npos) << probe.out;
    EXPECT_NE(probe.out.find("channels=2"), std::string::npos);
    EXPECT_NE(probe.out.find("Weaving, 4 a beat"), std::string::npos) << probe.out;
    EXPECT_NE(probe.out.find("Demo Teacher"), std::string::npos) << probe.out;
    EXPECT_NE(probe.out.find("CC BY 4.0"), std::string::npos) << name(format) << probe.out;
    if (is_lossy(format)) continue;  // the packaged sox reads no Opus and counts MP3 by blocks
    EXPECT_EQ(std::atoll(run_tool("soxi -s " + path).out.c_str()), audio.frames());
    EXPECT_EQ(run_tool("sox " + path + " -n stat").code, 0);
  }
  EXPECT_EQ(run_tool("flac -t -s " + (folder / "tune.flac")).code, 0);
}

TEST(Files, TheSameSoundGivesTheSameBytes) {
  const Audio audio = short_tune();
  for (const AudioFormat format : k_formats) {
    EXPECT_EQ(encode(audio, format, k_tags).value(), encode(audio, format, k_tags).value()) << name(format);
  }
}

TEST(Files, RefuseWhatIsNoSound) {
  EXPECT_EQ(encode({}, AudioFormat::wav, {}).error().kind, ErrorKind::range);
  Audio bad;
  bad.samples = {0.0F, std::numeric_limits<float>::quiet_NaN()};
  EXPECT_EQ(encode(bad, AudioFormat::flac, {}).error().kind, ErrorKind::range);
  const Folder folder;
  EXPECT_EQ(read_audio(folder / "none.wav").error().kind, ErrorKind::io);
  ASSERT_TRUE(write_file(folder / "text.wav", "no sound at all").ok());
  EXPECT_EQ(read_audio(folder / "text.wav").error().kind, ErrorKind::syntax);
  std::string garbage = "OggS and then nothing";
  EXPECT_FALSE(set_ogg_serial(garbage, 1));
}

Handout lesson() {
  Handout handout;
  handout.prose.title = "Climbing sixes";
  handout.prose.author = "Demo Teacher";
  handout.ideas = {demo::weaving(30, 4), demo::weaving(12, 3)};
  handout.ideas[0].name = "Six that folds back";
  handout.ideas[1].name = "Threes & more";
  handout.ideas[1].number = 2;
  return handout;
}

TEST(Jobs, TheUsualSetIsSlowAndGoalWithClickInOneFormat) {
  const auto jobs = plan_sound(lesson(), {}).value();
  ASSERT_EQ(jobs.size(), 4U);
  EXPECT_EQ(jobs[0].file, "01-six-that-folds-back-4-a-beat-demo-060");
  EXPECT_EQ(jobs[1].file, "01-six-that-folds-back-4-a-beat-demo-120");
  EXPECT_EQ(jobs[3].file, "02-threes-more-3-a-beat-demo-120");
  EXPECT_EQ(jobs[1].timeline.click, ClickPattern::beat);
  EXPECT_EQ(jobs[1].formats.size(), 1U);
  EXPECT_EQ(jobs[1].tags.title, "Six that folds back, 4 a beat, 120 bpm");
}

TEST(Jobs, IdeasKeepTheirNumberInTheLesson) {
  Handout handout = lesson();
  handout.ideas[1].number = 3;  // the second is in error and left out
  handout.ideas[1].name.clear();
  SoundChoice choice;
  choice.ideas = {3};
  const auto jobs = plan_sound(handout, choice).value();
  ASSERT_EQ(jobs.size(), 2U);
  EXPECT_EQ(jobs[0].file, "03-idea-3-a-beat-demo-060");
  EXPECT_EQ(jobs[0].tags.title, "1 3 2 3 + 2 1, 3 a beat, 60 bpm");
  EXPECT_EQ(jobs[0].tags.comment, "E dorian, rule 1 3 2 3 + 2 1");
  choice.ideas = {2};
  EXPECT_EQ(plan_sound(handout, choice).error().what,
            "there is no idea 2 that can be played; the lesson has ideas 1, 3");
}

TEST(Jobs, EachPlaysOneFeel) {
  Handout handout = lesson();
  handout.ideas[0].feels.push_back(demo::weaving(30, 6).feels[0]);
  const auto jobs = plan_sound(handout, {}).value();
  ASSERT_EQ(jobs.size(), 6U);
  EXPECT_EQ(jobs[2].file, "01-six-that-folds-back-6-a-beat-demo-060");
  for (const SoundJob& job : jobs) EXPECT_EQ(job.idea.feels.size(), 1U);
  EXPECT_EQ(jobs[2].score().notes_per_beat, 6);
}

TEST(Jobs, ChoicesAreKeptOrRefused) {
  SoundChoice choice;
  choice.pieces = {Piece::ladder, Piece::bursts, Piece::loop};
  choice.ideas = {2};
  choice.tempos = {Rational(80), Rational(185, 2)};
  const auto jobs = plan_sound(lesson(), choice).value();
  ASSERT_EQ(jobs.size(), 5U);
  EXPECT_EQ(jobs[0].file, "02-threes-more-3-a-beat-ladder-080-to-092_5");
  EXPECT_EQ(jobs[1].file, "02-threes-more-3-a-beat-bursts-080");
  choice.ideas = {3};
  EXPECT_EQ(plan_sound(lesson(), choice).error().kind, ErrorKind::range);
  choice.ideas = {};
  choice.tempos = {Rational(480)};  // 32 notes a second in the first idea
  EXPECT_EQ(plan_sound(lesson(), choice).error().repair, "450");
  choice.tempos = {Rational(0)};
  EXPECT_EQ(plan_sound(lesson(), choice).error().kind, ErrorKind::range);
  choice.tempos = {};
  choice.formats = {};
  EXPECT_EQ(plan_sound(lesson(), choice).error().kind, ErrorKind::range);
  EXPECT_EQ(plan_sound({}, {}).error().kind, ErrorKind::range);
}

TEST(Jobs, OneThreadAndTwoWriteTheSameBytes) {
  SoundChoice choice;
  choice.formats = {AudioFormat::wav, AudioFormat::mp3, AudioFormat::opus, AudioFormat::flac};
  choice.pieces = {Piece::demo, Piece::loop};
  choice.ideas = {2};
  const auto jobs = plan_sound(lesson(), choice).value();
  const Folder one;
  const Folder two;
  std::vector<double> seen;
  const auto a = run_sound_jobs(jobs, one.path(), 1).value();
  const auto b = run_sound_jobs(jobs, two.path(), 2, nullptr, [&](double part) { seen.push_back(part); }).value();
  ASSERT_EQ(a.size(), 16U);
  ASSERT_EQ(b.size(), a.size());
  for (std::size_t i = 0; i < a.size(); ++i) {
    EXPECT_EQ(fs::path(a[i].path).filename(), fs::path(b[i].path).filename());
    EXPECT_EQ(bytes_of(a[i].path), bytes_of(b[i].path)) << a[i].path;
    const auto audio = read_audio(b[i].path).value();
    EXPECT_EQ(audio.frames(), b[i].frames);
    const auto loudness = measure_loudness(audio).value();
    EXPECT_NEAR(loudness.integrated_lufs, -16.0, 0.5) << b[i].path;
    EXPECT_LE(loudness.true_peak_dbtp, -1.0) << b[i].path;
  }
  EXPECT_EQ(two.entries(), 16U);
  EXPECT_TRUE(std::is_sorted(seen.begin(), seen.end()));
  EXPECT_DOUBLE_EQ(seen.back(), 1.0);
}

TEST(Jobs, StemsAddUpToTheMix) {
  SoundChoice choice;
  choice.ideas = {2};
  choice.tempos = {Rational(100)};
  const auto jobs = plan_sound(lesson(), choice).value();
  const auto take = make_take(jobs[0], false).value();
  double worst = 0;
  for (std::size_t i = 0; i < take.mix.samples.size(); ++i) {
    worst = std::max(
        worst, std::abs(static_cast<double>(take.mix.samples[i] - take.strings.samples[i] - take.click.samples[i])));
  }
  EXPECT_LT(worst, 1e-6);
}

// The seam of what is published: strings, click and levelling together.
TEST(Jobs, ALoopsMixHasNoSeam) {
  SoundChoice choice;
  choice.pieces = {Piece::loop};
  choice.click = ClickPattern::backbeat;  // no knock hides the seam
  const auto jobs = plan_sound(lesson(), choice).value();
  for (const SoundJob& job : jobs) {
    const auto take = make_take(job, false).value();
    const auto x = signal::left(take.mix);
    double ordinary = 0;
    for (std::size_t i = 1; i < x.size(); ++i)
      ordinary = std::max(ordinary, std::abs(static_cast<double>(x[i] - x[i - 1])));
    EXPECT_LE(std::abs(static_cast<double>(x.front() - x.back())), 0.5 * ordinary) << job.file;
  }
}

TEST(Jobs, TheCountInIsAsLoudAsTheLick) {
  SoundChoice choice;
  choice.ideas = {1};
  const auto jobs = plan_sound(lesson(), choice).value();
  for (const SoundJob& job : jobs) {
    const auto take = make_take(job, false).value();
    const std::int64_t start = take.timeline.marks.front().frame;
    Audio count_in, lick;
    count_in.samples.assign(take.mix.samples.begin(), take.mix.samples.begin() + start * k_channels);
    lick.samples.assign(take.mix.samples.begin() + start * k_channels, take.mix.samples.end());
    EXPECT_NEAR(measure_loudness(count_in)->loudest_moment_lufs, measure_loudness(lick)->integrated_lufs, 4.0);
  }
}

// However hard the strings press against the ceiling, the clicks keep their peaks: bar 0, beat -3, subdivision -10 dB.
TEST(Jobs, TheClickIsNeverLimited) {
  SoundChoice choice;
  choice.ideas = {2};
  choice.click = ClickPattern::subdivision;
  for (const bool alone : {false, true}) {
    if (alone) choice.pieces = {Piece::click};
    for (int voicing = 0; voicing < voice::k_voicings; ++voicing) {
      choice.sound.voicing = voicing;
      const SoundTake take = make_take(plan_sound(lesson(), choice).value().back(), false).value();
      const auto click = signal::left(take.click);
      double loudest = 0;
      std::vector<std::pair<voice::Knock, double>> peaks;
      for (const TimedKnock& knock : take.timeline.knocks) {
        double peak = 0;
        for (std::int64_t i = knock.frame; i < std::min<std::int64_t>(knock.frame + 480, take.click.frames()); ++i)
          peak = std::max(peak, std::abs(static_cast<double>(click[static_cast<std::size_t>(i)])));
        if (knock.count_in) continue;
        peaks.emplace_back(knock.knock, signal::decibels(peak));
        loudest = std::max(loudest, peak);
      }
      constexpr std::array<double, 3> want = {0.0, -3.0, -10.0};
      for (const auto& [knock, peak] : peaks)
        EXPECT_NEAR(peak - signal::decibels(loudest), want[static_cast<std::size_t>(knock)], 0.15) << voicing;
      EXPECT_LE(measure_loudness(take.mix)->true_peak_dbtp, -1.0) << voicing;
    }
  }
}

TEST(Jobs, AClickStartsOnItsFrameWithoutAStep) {
  for (const voice::Knock kind : {voice::Knock::bar, voice::Knock::beat, voice::Knock::subdivision}) {
    for (const voice::Ring ring : {voice::Ring::dry, voice::Ring::open}) {
      std::vector<float> knock(voice::k_knock_frames);
      voice::add_knock(kind, ring, 1.0F, 0, knock.data(), voice::k_knock_frames);
      float peak = 0, step = 0;
      for (std::size_t i = 0; i < knock.size(); ++i) {
        peak = std::max(peak, std::abs(knock[i]));
        step = std::max(step, std::abs(knock[i] - (i > 0 ? knock[i - 1] : 0.0F)));
      }
      EXPECT_NE(knock[0], 0.0F);
      EXPECT_LT(std::abs(knock[0]), 0.02F * peak);
      EXPECT_LT(step, 0.5F * peak);
      EXPECT_LT(std::abs(knock.back()), 0.001F * peak);
      std::vector<float> cut(voice::k_knock_frames);
      voice::add_knock(kind, ring, 1.0F, 0, cut.data(), 1000);
      voice::add_knock(kind, ring, 1.0F, 1000, cut.data() + 1000, voice::k_knock_frames - 1000);
      EXPECT_EQ(cut, knock);
    }
  }
}

// What is read in pieces is what is made whole; WAV grows on the disk and MP3 in memory.
TEST(Jobs, FilesAreTheTakeItself) {
  SoundChoice choice;
  choice.ideas = {2};
  choice.tempos = {Rational(100)};
  choice.formats = {AudioFormat::wav, AudioFormat::mp3};
  choice.stems = {Stem::mix, Stem::click};
  const auto jobs = plan_sound(lesson(), choice).value();
  const Folder folder;
  const auto files = run_sound_jobs(jobs, folder.path().string(), 1).value();
  ASSERT_EQ(files.size(), 4U);
  const SoundTake take = make_take(jobs[0], false).value();
  const auto wav = read_audio(files[0].path).value();
  ASSERT_EQ(wav.frames(), take.mix.frames());
  for (std::size_t i = 0; i < wav.samples.size(); ++i) ASSERT_NEAR(wav.samples[i], take.mix.samples[i], 2e-7);
  EXPECT_EQ(bytes_of(files[2].path), encode_take(jobs[0], AudioFormat::mp3, jobs[0].tags).value());
}

TEST(Jobs, AStopLeavesNoPartialFile) {
  SoundChoice choice;
  choice.formats = {AudioFormat::wav};
  const auto jobs = plan_sound(lesson(), choice).value();
  const Folder folder;
  StopFlag stop{false};
  const auto out = run_sound_jobs(jobs, folder.path().string(), 2, &stop, [&](double part) {
    if (part > 0.3) stop.store(true);
  });
  ASSERT_FALSE(out.ok());
  EXPECT_EQ(out.error().kind, ErrorKind::stopped);
  for (const auto& entry : fs::directory_iterator(folder.path().string())) {
    EXPECT_EQ(entry.path().extension(), ".wav") << entry.path();
    EXPECT_TRUE(read_audio(entry.path().string()).ok());
  }
}

TEST(Jobs, AFolderThatCannotBeIsAnError) {
  const auto jobs = plan_sound(lesson(), {}).value();
  EXPECT_EQ(run_sound_jobs(jobs, "/dev/null/out").error().kind, ErrorKind::io);
  const Folder folder;
  EXPECT_EQ(run_sound_jobs(jobs, folder / "a/b").error().kind, ErrorKind::io);
  ASSERT_TRUE(write_file(folder / "file", "x").ok());
  EXPECT_EQ(run_sound_jobs(jobs, folder / "file").error().kind, ErrorKind::io);
  if (::geteuid() == 0) return;  // root may write anywhere
  ::chmod(folder.path().string().c_str(), 0555);
  EXPECT_EQ(run_sound_jobs(jobs, folder.path().string()).error().kind, ErrorKind::io);
  ::chmod(folder.path().string().c_str(), 0755);
}

}  // namespace
}  // namespace fretloom
