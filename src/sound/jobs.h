#pragma once
// The sound of a lesson as a set of jobs: planned first, then run side by side.
//
//   Handout + SoundChoice --plan_sound--> jobs --run_sound_jobs--> files in a folder
//
// One job is one rendering; it may be written in several formats and parts.

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "base/result.h"
#include "play/render.h"
#include "play/timeline.h"
#include "score/handout.h"
#include "sound/audio_file.h"
#include "sound/band_samples.h"

namespace fretloom {

/// The whole, or a part of it; strings, click and band add up to the whole, bass, chords and drums to the band.
enum class Stem { mix, strings, click, band, no_bass, drums, bass, chords };
constexpr std::size_t k_stems = 8;
/// "mix", "no-bass"; strings is the lick.
[[nodiscard]] std::string_view name(Stem stem);
[[nodiscard]] std::optional<Stem> parse_stem(std::string_view text);

/// What to make. The defaults are the small set: each idea at slow and goal tempo, with count-in and
/// click, as MP3.
struct SoundChoice {
  std::vector<Piece> pieces = {Piece::demo};
  std::vector<Rational> tempos;  ///< empty: each idea's own slow and goal
  bool every_rung = false;       ///< instead of them, every tempo of each idea's ladder (score/ladder.h)
  std::vector<AudioFormat> formats = {AudioFormat::mp3};
  std::vector<Stem> stems = {Stem::mix};
  std::vector<int> ideas;  ///< by their numbers in the lesson; empty: all
  ClickPattern click = ClickPattern::beat;
  int count_in_bars = 1;
  int times = 1;
  double click_db = -7.0;  ///< peak of the bar's knock in the finished file, dBFS, -40 to -6
  RenderOptions sound;
  // The band: with demos, loops and ladders as `backings` says, and alone as a piece of its own.
  std::vector<Backing> backings = {Backing::none};
  BandOptions band;
  std::shared_ptr<BandSamples> samples;  ///< of drums and keys; without them bass and guitar play alone
};

struct SoundJob {
  IdeaSheet idea;  ///< with the one feel that is played
  TimelineOptions timeline;
  RenderOptions sound;
  double click_db = -7.0;
  std::vector<AudioFormat> formats;
  std::vector<Stem> stems;  ///< those that it has
  std::shared_ptr<BandSamples> samples;
  std::string file;  ///< name without stem and extension: "01-climbing-sixes-4-a-beat-demo-060"
  AudioTags tags;

  [[nodiscard]] const Score& score() const { return idea.feels.front(); }
  [[nodiscard]] bool has_band() const { return timeline.piece == Piece::band || timeline.backing == Backing::band; }
};

/// All jobs, in the lesson's order; the band alone comes last, once for ideas that share it (band/play_vamp.h), at
/// every rung of the first one's ladder unless tempos are given. Bursts and clicks have no band. A loop with a band is
/// played as often as brings both to an end together, in at most 64 bars. Everything that can be refused is refused
/// here, before the first frame: tempo, speed, an idea that is not there, a choice of nothing. Errors: those of
/// lay_out, the idea named; range.
[[nodiscard]] Result<std::vector<SoundJob>> plan_sound(const Handout& handout, const SoundChoice& choice);

struct SoundFileInfo {
  std::string path;
  std::int64_t frames = 0;
  std::vector<Mark> marks;
};

/// Called after every step with the part of all work that is done, 0 to 1, ascending; from one thread at
/// a time.
using JobsProgress = std::function<void(double)>;

/// Runs the jobs on `threads` threads (0: one a core, at most one a job) and writes their files into
/// `folder`, which is made if its parent exists. Result: the files in the jobs' order, whatever the
/// threads did. Stopped or failed: an error, and no file that is not whole. Errors: io, stopped, and as play_take
/// (sound_take.h).
[[nodiscard]] Result<std::vector<SoundFileInfo>> run_sound_jobs(const std::vector<SoundJob>& jobs,
                                                                const std::string& folder, int threads = 0,
                                                                const StopFlag* stop = nullptr,
                                                                const JobsProgress& progress = {});

/// The ceiling of what is coded with loss, since coding moves peaks; -1 dBTP otherwise.
constexpr double k_lossy_ceiling_dbtp = -2.0;

/// What a player should start at, in decibels below full volume: nobody's ears are met unprepared.
constexpr double k_player_start_db = -12.0;

}  // namespace fretloom
