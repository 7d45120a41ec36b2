// Every note of the demo lessons' bands stands where it is written, by a detector that knows nothing of the renderer:
// the power of the finished sound in windows of half a millisecond. So that notes do not hide each other the piece is
// rendered several times, each time with notes that are two thirds of a second from each other, each at its own
// place.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <numeric>

#include "band/random_vamp.h"
#include "files/files.h"
#include "lesson/compile.h"
#include "sound/band_player.h"
#include "sound/jobs.h"

namespace fretloom {
namespace {

constexpr std::int64_t k_window = k_sample_rate / 2000;
constexpr std::int64_t k_millisecond = k_sample_rate / 1000;
constexpr std::int64_t k_apart = 2 * k_sample_rate / 3;
constexpr std::int64_t k_cut = 2 * k_sample_rate / 5;  ///< a hit's tail is let go before the next hit

/// Power in windows of half a millisecond.
class Power {
 public:
  explicit Power(const std::vector<float>& sound) : sum_(sound.size() + 1) {
    for (std::size_t i = 0; i < sound.size(); ++i)
      sum_[i + 1] = sum_[i] + static_cast<double>(sound[i]) * static_cast<double>(sound[i]);
  }
  [[nodiscard]] double at(std::int64_t frame) const {
    const auto last = static_cast<std::int64_t>(sum_.size()) - 1;
    const auto bound = [&](std::int64_t f) {
      return sum_[static_cast<std::size_t>(std::clamp<std::int64_t>(f, 0, last))];
    };
    return bound(frame + k_window) - bound(frame);
  }

  [[nodiscard]] std::int64_t silence_before(std::int64_t frame) const {
    while (at(frame) > 0) --frame;
    return frame;
  }
  /// Frames from `near` to the middle of the first window from `before` on whose amplitude is `part` of the greatest up
  /// to `until`.
  [[nodiscard]] std::int64_t rise(std::int64_t near, std::int64_t before, std::int64_t until, double part) const {
    std::int64_t frame = before;
    double most = 0;
    for (std::int64_t f = before; f < until; ++f) most = std::max(most, at(f));
    while (at(frame) < most * part * part) ++frame;
    return frame + k_window / 2 - near;
  }

 private:
  std::vector<double> sum_;
};

enum class Of { sound, differences, their_differences };

/// Both sides of all parts together, or how they change from frame to frame, in which a low string begins as sharply
/// as a high one.
Power render(const BandTimeline& timeline, BandSamples* samples, Of of) {
  const auto player = BandPlayer::make(timeline, samples).value();
  std::vector<float> mono;
  mono.reserve(static_cast<std::size_t>(timeline.frames));
  BandPiece piece;
  for (std::int64_t done = 0; done < timeline.frames;) {
    const std::int64_t count = std::min<std::int64_t>(4096, timeline.frames - done);
    player->read(piece, count);
    for (std::size_t i = 0; i < piece.bass.size(); i += 2) {
      mono.push_back(piece.bass[i] + piece.bass[i + 1] + piece.chords[i] + piece.chords[i + 1] + piece.drums[i] +
                     piece.drums[i + 1]);
    }
    done += count;
  }
  if (of != Of::sound) std::adjacent_difference(mono.begin(), mono.end(), mono.begin());
  if (of == Of::their_differences) std::adjacent_difference(mono.begin(), mono.end(), mono.begin());
  return Power(mono);
}

struct Onset {
  std::string what;
  std::int64_t frame = 0;  ///< as written
  std::int64_t off = 0;    ///< as heard, behind it
};

/// The piece with some of its notes.
struct Apart {
  BandTimeline timeline;
  std::vector<Onset> notes;
};

/// The first of these to which a note at `frame` can be added; one more where there is none.
Apart& apart_at(std::vector<Apart>& renders, const BandTimeline& band, std::int64_t frame) {
  for (Apart& render : renders) {
    if (frame - render.notes.back().frame >= k_apart) return render;
  }
  Apart& empty = renders.emplace_back();
  empty.timeline.frames = band.frames;
  empty.timeline.sounds = band.sounds;
  return empty;
}

std::vector<Onset> heard_hits(const BandTimeline& band, BandSamples& samples, std::int64_t moved_by) {
  std::vector<Apart> renders;
  for (const BandHit& hit : band.hits) {
    Apart& apart = apart_at(renders, band, hit.frame);
    apart.notes.push_back({name(band.sounds[static_cast<std::size_t>(hit.sound)]), hit.frame});
    BandHit alone = hit;
    alone.frame += moved_by;
    alone.end = alone.frame + k_cut;
    alone.fall = k_millisecond;
    alone.rise = 0;  // a drone swells for a second, in which nobody hears it begin
    apart.timeline.hits.push_back(alone);
  }
  std::vector<Onset> heard;
  for (Apart& apart : renders) {
    const Power power = render(apart.timeline, &samples, Of::sound);
    for (Onset& onset : apart.notes) {
      // A drone's half height is that of its first half second.
      const bool swells = onset.what.starts_with("drone");
      const std::int64_t before = swells ? power.silence_before(onset.frame) : onset.frame - 20 * k_millisecond;
      onset.off = power.rise(onset.frame, before, swells ? before + k_sample_rate / 2 : onset.frame + k_cut, 0.5);
      heard.push_back(onset);
    }
  }
  return heard;
}

Onset written(const BandStrings& part, const voice::PlayedNote& note) {
  return {std::string(name(part.role)) + " string " + std::to_string(note.string) + " fret " +
              std::to_string(note.fret) + (note.palm > 0 ? " muted" : ""),
          note.onset};
}

std::vector<Onset> heard_strings(const BandTimeline& band, std::int64_t moved_by) {
  std::vector<Onset> heard;
  for (const BandStrings& part : band.strings) {
    std::vector<Apart> renders;
    for (voice::PlayedNote note : part.part.notes) {
      Apart& apart = apart_at(renders, band, note.onset);
      if (apart.timeline.strings.empty()) {
        apart.timeline.strings = {part};
        apart.timeline.strings[0].part.notes.clear();
      }
      apart.notes.push_back(written(part, note));
      note.onset += moved_by;
      note.end = std::min(note.end + moved_by, note.onset + k_cut / 2);
      note.ring = 0;
      apart.timeline.strings[0].part.notes.push_back(note);
    }
    for (Apart& apart : renders) {
      const Power power = render(apart.timeline, nullptr, Of::differences);
      for (Onset& onset : apart.notes) {
        onset.off = power.rise(onset.frame, onset.frame - 8 * k_millisecond, onset.frame + 8 * k_millisecond, 1.0 / 3);
        heard.push_back(onset);
      }
    }
  }
  return heard;
}

/// Each string for itself, with all that is played on it: the note before rings until the pick comes to rest on it.
std::vector<Onset> heard_on_ringing_strings(const BandTimeline& band) {
  std::vector<Onset> heard;
  for (const BandStrings& part : band.strings) {
    for (int string = 0; string < static_cast<int>(part.part.open.size()); ++string) {
      BandTimeline one;
      one.frames = band.frames;
      one.strings = {part};
      auto& notes = one.strings[0].part.notes;
      std::erase_if(notes, [&](const voice::PlayedNote& note) { return note.string != string; });
      if (notes.empty()) continue;
      const Power power = render(one, nullptr, Of::their_differences);
      for (const voice::PlayedNote& note : notes) {
        Onset& onset = heard.emplace_back(written(part, note));
        onset.off = power.rise(note.onset, note.onset - 3 * k_millisecond / 2, note.onset + 8 * k_millisecond, 0.4);
      }
    }
  }
  return heard;
}

std::vector<Onset> heard_of(const BandTimeline& band, BandSamples& samples, std::int64_t moved_by = 0) {
  std::vector<Onset> heard = heard_hits(band, samples, moved_by);
  const std::vector<Onset> strings = heard_strings(band, moved_by);
  heard.insert(heard.end(), strings.begin(), strings.end());
  return heard;
}

std::size_t notes_of(const BandTimeline& band) {
  std::size_t notes = band.hits.size();
  for (const BandStrings& strings : band.strings) notes += strings.part.notes.size();
  return notes;
}

/// Rendering is slow in the sanitised build, which hears one of the demos.
#ifdef __SANITIZE_ADDRESS__
constexpr std::size_t k_demos_heard = 1;
#else
constexpr std::size_t k_demos_heard = 6;
#endif

/// The demos' first ideas with their bands, slow and at the goal.
std::vector<SoundJob> demos(const std::shared_ptr<BandSamples>& samples) {
  SoundChoice choice;
  choice.backings = {Backing::band};
  choice.samples = samples;
  std::vector<std::string> lessons;
  for (const auto& file : std::filesystem::directory_iterator(FRETLOOM_SOURCE_DIR "/demos"))
    if (file.path().extension() == ".toml") lessons.push_back(file.path().string());
  std::sort(lessons.begin(), lessons.end());
  EXPECT_GE(lessons.size(), 6U);
  lessons.resize(std::min(lessons.size(), k_demos_heard));
  std::vector<SoundJob> jobs;
  for (const std::string& lesson : lessons) {
    const Handout handout = make_handout(compile_lesson(read_file(lesson, 1U << 20U).value()));
    choice.ideas = {handout.ideas.front().number};
    const auto planned = plan_sound(handout, choice).value();
    jobs.push_back(planned.at(0));
    jobs.push_back(planned.at(1));
  }
  return jobs;
}

BandTimeline band_of(const SoundJob& job) {
  const auto timeline = lay_out(job.idea, job.score(), job.timeline).value();
  return lay_out_band(job.idea, timeline, job.timeline.band).value();
}

class BandOnsets : public testing::Test {
 protected:
  void SetUp() override {
    if (!samples->check()) GTEST_SKIP() << "package fluid-soundfont-gm is not installed";
  }
  std::shared_ptr<BandSamples> samples = std::make_shared<BandSamples>();
};

TEST_F(BandOnsets, EveryNoteOfTheDemosIsHeardAtItsFrame) {
  const auto jobs = demos(samples);
  std::size_t count = 0;
  std::int64_t farthest = 0;
  for (const SoundJob& job : jobs) {
    const BandTimeline band = band_of(job);
    const auto heard = heard_of(band, *samples);
    ASSERT_EQ(heard.size(), notes_of(band));
    count += heard.size();
    for (const Onset& onset : heard) {
      EXPECT_LE(std::abs(onset.off), k_millisecond) << job.file << ": " << onset.what << " at " << onset.frame;
      farthest = std::max(farthest, std::abs(onset.off));
    }
  }
  RecordProperty("notes", static_cast<int>(count));
  RecordProperty("farthest_frames", static_cast<int>(farthest));
  EXPECT_GT(count, 100U * jobs.size());
}

/// The detector tells what is two milliseconds late or early, note by note.
TEST_F(BandOnsets, AMovedNoteIsFound) {
  const BandTimeline band = band_of(demos(samples).back());
  for (const std::int64_t by : {-2 * k_millisecond, 2 * k_millisecond}) {
    for (const Onset& onset : heard_of(band, *samples, by)) {
      EXPECT_GT(std::abs(onset.off), k_millisecond) << onset.what << " at " << onset.frame << " moved by " << by;
      EXPECT_NEAR(static_cast<double>(onset.off), static_cast<double>(by), k_millisecond) << onset.what;
    }
  }
}

TEST_F(BandOnsets, AStringThatRingsIsPluckedAtItsFrameToo) {
  const auto jobs = demos(samples);
  for (std::size_t i = 1; i < jobs.size(); i += 2) {
    for (const Onset& onset : heard_on_ringing_strings(band_of(jobs[i])))
      EXPECT_LE(std::abs(onset.off), k_millisecond) << jobs[i].file << ": " << onset.what << " at " << onset.frame;
  }
}

/// What no demo has: a drone, and keys that walk.
TEST_F(BandOnsets, DronesAndKeysOfEveryRhythmToo) {
  for (const char* rhythm : {"drone", "triplets", "walking bass"}) {
    IdeaSheet idea = vamp_idea(rhythm, "4/4", "Em7 | A7");
    idea.instrument.neck.tuning = parse_tuning("standard").value();
    idea.layout.resize(6);
    idea.feels.emplace_back();
    BandOptions options;
    options.bpm = Rational(112);
    Timeline timeline;
    timeline.stretches = {{k_sample_rate, options.bpm, Beats(Rational(16))}};
    timeline.frames = k_sample_rate + frame_of(Rational(16), options.bpm) + 3 * k_sample_rate;
    const BandTimeline band = lay_out_band(idea, timeline, options).value();
    const auto heard = heard_of(band, *samples);
    ASSERT_EQ(heard.size(), notes_of(band));
    for (const Onset& onset : heard)
      EXPECT_LE(std::abs(onset.off), k_millisecond)
          << rhythm << ": " << onset.what << " at " << onset.frame << " off " << onset.off;
  }
}

}  // namespace
}  // namespace fretloom
