#include "sound/jobs.h"

#include <sys/stat.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <memory>
#include <mutex>
#include <numeric>

#include "base/parallel.h"
#include "base/text.h"
#include "play/band_timeline.h"
#include "score/ladder.h"
#include "sound/sound_take.h"

namespace fretloom {
namespace {

constexpr std::array<std::string_view, k_stems> k_stem_names = {"mix",     "strings", "click", "band",
                                                                "no-bass", "drums",   "bass",  "chords"};

constexpr std::int64_t k_most_loop_bars = 64;

std::string padded(int number, int width) {
  std::string text = std::to_string(number);
  while (static_cast<int>(text.size()) < width) text.insert(text.begin(), '0');
  return text;
}

/// 060, 092_5 for 92.5.
std::string tempo_word(const Rational& bpm) {
  std::string text = number_text(bpm.to_double());
  std::replace(text.begin(), text.end(), '.', '_');
  while (text.find('_') == std::string::npos ? text.size() < 3 : text.find('_') < 3) text.insert(text.begin(), '0');
  return text;
}

std::string piece_word(const SoundJob& job) {
  std::string word = std::string(name(job.timeline.piece)) + "-";
  if (job.timeline.backing == Backing::band) word += "with-band-";
  if (job.timeline.piece == Piece::ladder) word += tempo_word(job.timeline.ladder_from) + "-to-";
  return word + tempo_word(job.timeline.bpm);
}

std::string title_of(const SoundJob& job) {
  if (job.timeline.piece == Piece::band)
    return "Band, " + chords_text(job.idea.vamp, job.idea.meter) + ", " + number_text(job.timeline.bpm.to_double()) +
           " bpm";
  std::string title = title_of(job.idea) + ", " + std::to_string(job.score().notes_per_beat) + " a beat, ";
  if (job.timeline.piece != Piece::demo) title += std::string(name(job.timeline.piece)) + ", ";
  if (job.timeline.backing == Backing::band) title += "with band, ";
  if (job.timeline.piece == Piece::ladder) title += number_text(job.timeline.ladder_from.to_double()) + " to ";
  return title + number_text(job.timeline.bpm.to_double()) + " bpm";
}

class Planner {
 public:
  Planner(const Handout& handout, const SoundChoice& choice) : handout_(handout), choice_(choice) {}

  Result<std::vector<SoundJob>> run() {
    if (const auto bad = check_choice()) return *bad;
    for (const IdeaSheet& idea : handout_.ideas) {
      if (!is_chosen(idea)) continue;
      for (std::size_t feel = 0; feel < idea.feels.size(); ++feel) {
        const IdeaSheet played = with_feel(idea, feel);
        for (const Piece piece : choice_.pieces) {
          if (piece == Piece::band) continue;
          for (const Backing backing : backings_of(piece)) {
            if (const auto bad = add_piece(idea, played, piece, backing)) return *bad;
          }
        }
      }
    }
    if (has(choice_.pieces, Piece::band)) {
      for (const IdeaSheet& idea : handout_.ideas) {
        const auto shares = [&](const IdeaSheet& other) {
          return is_chosen(other) && &first_over(handout_, other) == &idea;
        };
        if (std::none_of(handout_.ideas.begin(), handout_.ideas.end(), shares)) continue;
        if (const auto bad = add_piece(idea, with_feel(idea, 0), Piece::band, Backing::none)) return *bad;
      }
    }
    if (handout_.ideas.empty())
      return Error{ErrorKind::range, 0, "the lesson has no idea that can be played, so there is no sound to make", {}};
    if (jobs_.empty()) return Error{ErrorKind::range, 0, "none of the chosen sounds has one of the chosen stems", {}};
    return std::move(jobs_);
  }

 private:
  [[nodiscard]] std::optional<Error> check_choice() const {
    const auto range = [](std::string what) { return Error{ErrorKind::range, 0, std::move(what), {}}; };
    if (choice_.pieces.empty() || choice_.formats.empty() || choice_.stems.empty() || choice_.backings.empty())
      return range("choose at least one kind of sound, format and stem");
    if (!(choice_.click_db >= -40.0 && choice_.click_db <= -6.0))
      return range("the level of the click must be from -40 to -6 dB of full scale");
    for (const int number : choice_.ideas) {
      const auto has_number = [&](const IdeaSheet& idea) { return idea.number == number; };
      if (std::none_of(handout_.ideas.begin(), handout_.ideas.end(), has_number))
        return range("there is no idea " + std::to_string(number) + " that can be played; the lesson has " +
                     numbers_text());
    }
    return std::nullopt;
  }

  /// "idea 1", "ideas 1, 3".
  [[nodiscard]] std::string numbers_text() const {
    std::vector<std::string> numbers;
    for (const IdeaSheet& idea : handout_.ideas) numbers.push_back(std::to_string(idea.number));
    if (numbers.empty()) return "none";
    return (numbers.size() == 1 ? "idea " : "ideas ") + join(numbers, ", ");
  }

  [[nodiscard]] bool is_chosen(const IdeaSheet& idea) const {
    const auto& wanted = choice_.ideas;
    return wanted.empty() || std::find(wanted.begin(), wanted.end(), idea.number) != wanted.end();
  }

  template <class T>
  static bool has(const std::vector<T>& list, T item) {
    return std::find(list.begin(), list.end(), item) != list.end();
  }

  /// Bursts and clicks are played without a band whatever is wanted.
  [[nodiscard]] std::vector<Backing> backings_of(Piece piece) const {
    if (piece == Piece::click || piece == Piece::bursts) return {Backing::none};
    return choice_.backings;
  }

  /// `idea` is the handout's own, `played` has the one feel.
  std::optional<Error> add_piece(const IdeaSheet& idea, const IdeaSheet& played, Piece piece, Backing backing) {
    std::vector<Rational> tempos = choice_.tempos;
    if (choice_.every_rung || (piece == Piece::band && tempos.empty())) tempos = ladder(idea.slow_bpm, idea.goal_bpm);
    if (tempos.empty()) tempos = {idea.slow_bpm, idea.goal_bpm};
    // A ladder climbs from the first tempo to the last; bursts are for the goal alone.
    Rational from = tempos.front();
    if (piece == Piece::ladder || (piece == Piece::bursts && choice_.tempos.empty())) tempos = {tempos.back()};
    std::vector<Rational> seen;
    for (const Rational& bpm : tempos) {
      if (std::find(seen.begin(), seen.end(), bpm) != seen.end()) continue;
      seen.push_back(bpm);
      if (auto bad = add_job(idea, played, piece, backing, from, bpm)) return bad;
    }
    return std::nullopt;
  }

  /// Turns of a lick's loop until a band's loop ends with it.
  [[nodiscard]] static int turns_of(const IdeaSheet& idea, const SoundJob& job, int times) {
    TimelineOptions once = job.timeline;
    once.times = 1;
    BandOptions band = job.timeline.band;
    band.bpm = job.timeline.bpm;
    const auto lick = lay_out(idea, job.score(), once);
    const auto played = play_vamp(idea, band);
    if (!lick || !played || lick->stretches.empty()) return times;
    const std::int64_t bar = idea.meter.beats_per_bar();
    const std::int64_t lick_bars = lick->stretches.front().length.value.floor() / bar;
    // A whole band first, then one turn of its vamp.
    for (const int band_bars : {played->bars, played->bars / played->turns}) {
      const std::int64_t bars = std::lcm(lick_bars, static_cast<std::int64_t>(band_bars));
      if (bars <= k_most_loop_bars) return static_cast<int>(bars / lick_bars);
    }
    return times;
  }

  std::optional<Error> add_job(const IdeaSheet& idea, const IdeaSheet& played, Piece piece, Backing backing,
                               const Rational& from, const Rational& bpm) {
    SoundJob job;
    job.idea = played;
    job.timeline.piece = piece;
    job.timeline.backing = backing;
    job.timeline.band = shared_band(handout_, idea, choice_.band);
    job.timeline.bpm = bpm;
    job.timeline.ladder_from = from;
    job.timeline.click =
        piece == Piece::click && choice_.click == ClickPattern::off ? ClickPattern::beat : choice_.click;
    if (job.has_band()) job.timeline.click = ClickPattern::off;  // the drums keep the time
    job.timeline.count_in_bars = choice_.count_in_bars;
    job.timeline.times = choice_.times;
    job.sound = choice_.sound;
    job.click_db = choice_.click_db;
    job.formats = choice_.formats;
    job.samples = choice_.samples;
    for (const Stem stem : choice_.stems) {
      if (has_stem(job, stem)) job.stems.push_back(stem);
    }
    if (job.stems.empty()) return std::nullopt;
    if (piece == Piece::loop && job.has_band()) job.timeline.times = turns_of(played, job, choice_.times);
    const auto laid_out = lay_out(played, job.score(), job.timeline);
    if (!laid_out) return in_idea(idea, laid_out.error());
    if (job.has_band()) {
      const auto band = lay_out_band(played, *laid_out, job.timeline.band);
      if (!band) return band.error();
    }
    job.file = padded(idea.number, 2) + "-" + file_slug(idea.name, "idea") + "-" +
               std::to_string(job.score().notes_per_beat) + "-a-beat-" + piece_word(job);
    if (piece == Piece::band) job.file = band_file(idea, job);
    const std::string file = job.file;  // feels that differ in nothing that the name tells
    for (int number = 2; has_file(job.file); ++number) job.file = file + "-" + std::to_string(number);
    job.tags.title = title_of(job);
    job.tags.artist = handout_.prose.author;
    job.tags.album = handout_.prose.title;
    job.tags.comment = idea.key.name() + (piece == Piece::band ? "" : ", rule " + idea.rule.text);
    job.tags.licence = handout_.prose.licence;
    job.tags.track = static_cast<int>(jobs_.size()) + 1;
    jobs_.push_back(std::move(job));
    return std::nullopt;
  }

  [[nodiscard]] static bool has_stem(const SoundJob& job, Stem stem) {
    const bool is_of_band = stem != Stem::mix && stem != Stem::strings && stem != Stem::click;
    if (job.timeline.piece == Piece::band) return is_of_band || stem == Stem::mix;
    return job.has_band() || !is_of_band;
  }

  /// "band-060" where all ideas share one band, "02-band-060" for that of idea 2.
  [[nodiscard]] std::string band_file(const IdeaSheet& idea, const SoundJob& job) const {
    const auto is_its = [&](const IdeaSheet& other) { return &first_over(handout_, other) == &idea; };
    const bool is_only = std::all_of(handout_.ideas.begin(), handout_.ideas.end(), is_its);
    return (is_only ? "" : padded(idea.number, 2) + "-") + piece_word(job);
  }

  [[nodiscard]] bool has_file(const std::string& file) const {
    return std::any_of(jobs_.begin(), jobs_.end(), [&](const SoundJob& job) { return job.file == file; });
  }

  const Handout& handout_;
  const SoundChoice& choice_;
  std::vector<SoundJob> jobs_;
};

/// Threads take jobs by number; results lie by number too, so that their order shows nothing of it.
class Runner {
 public:
  Runner(const std::vector<SoundJob>& jobs, std::string folder, const StopFlag* stop, const JobsProgress& progress)
      : jobs_(jobs),
        folder_(std::move(folder)),
        stop_(stop),
        progress_(progress),
        done_(jobs.size(), 0.0),
        files_(jobs.size()) {}

  Result<std::vector<SoundFileInfo>> run(int threads) {
    run_parallel(jobs_.size(), threads, [this](std::size_t index) {
      const bool stop = stop_ != nullptr && stop_->load();
      if (auto bad = stop ? std::optional<Error>(stopped()) : one(index)) {
        fail(std::move(*bad));
        return false;
      }
      report(index, 1.0);
      return true;
    });
    if (error_) return *error_;
    std::vector<SoundFileInfo> out;
    for (auto& files : files_) out.insert(out.end(), files.begin(), files.end());
    return out;
  }

 private:
  /// One file of a job while it is being made. WAV and FLAC are as long as the sound and go to the disk at once; the
  /// others are small and are kept until they are whole.
  struct Output {
    AudioFormat format;
    Stem stem;
    std::string path;
    std::unique_ptr<AudioWriter> writer;
  };

  std::optional<Error> one(std::size_t index) {
    const SoundJob& job = jobs_[index];
    std::vector<Output> outputs;
    for (const AudioFormat format : job.formats) {
      for (const Stem stem : job.stems) outputs.push_back(output_of(job, stem, format));
    }
    std::int64_t frames = 0;
    const auto timeline = play_take(
        job,
        [&](const TakePieces& pieces) -> Result<void> {
          frames += static_cast<std::int64_t>(pieces.lossless.of(Stem::mix).size()) / k_channels;
          for (const Output& output : outputs) {
            const TakePiece& piece = is_lossy(output.format) ? pieces.lossy : pieces.lossless;
            const std::vector<float>& part = piece.of(output.stem);
            auto written = output.writer->write(part.data(), static_cast<std::int64_t>(part.size()) / k_channels);
            if (!written) return written;
          }
          return {};
        },
        stop_, [&](double part) { report(index, 0.99 * part); });
    if (!timeline) return timeline.error();
    for (const Output& output : outputs) {
      if (stop_ != nullptr && stop_->load()) return stopped();
      if (const auto bad = output.writer->finish_file(output.path); !bad) return bad.error();
      files_[index].push_back({output.path, frames, timeline->marks});
    }
    return std::nullopt;
  }

  [[nodiscard]] Output output_of(const SoundJob& job, Stem stem, AudioFormat format) const {
    AudioTags tags = job.tags;
    if (stem != Stem::mix) tags.title += ", " + std::string(name(stem));
    const std::string tail = stem == Stem::mix ? "" : "-" + std::string(name(stem));
    const std::string path = folder_ + "/" + job.file + tail + "." + std::string(name(format));
    return {format, stem, path, std::make_unique<AudioWriter>(format, tags, path)};
  }

  void report(std::size_t index, double part) {
    if (!progress_) return;
    const std::lock_guard lock(mutex_);
    done_[index] = std::max(done_[index], part);
    double sum = 0;
    for (const double d : done_) sum += d;
    progress_(sum / static_cast<double>(done_.size()));
  }

  void fail(Error error) {
    const std::lock_guard lock(mutex_);
    if (!error_) error_ = std::move(error);
  }

  const std::vector<SoundJob>& jobs_;
  std::string folder_;
  const StopFlag* stop_;
  const JobsProgress& progress_;
  std::mutex mutex_;
  std::vector<double> done_;
  std::vector<std::vector<SoundFileInfo>> files_;
  std::optional<Error> error_;
};

}  // namespace

std::string_view name(Stem stem) { return k_stem_names[static_cast<std::size_t>(stem)]; }

std::optional<Stem> parse_stem(std::string_view text) {
  const std::string wanted = lower(trim(text));
  const auto found = std::find(k_stem_names.begin(), k_stem_names.end(), wanted);
  if (found == k_stem_names.end()) return std::nullopt;
  return static_cast<Stem>(found - k_stem_names.begin());
}

Result<std::vector<SoundJob>> plan_sound(const Handout& handout, const SoundChoice& choice) {
  return Planner(handout, choice).run();
}

Result<std::vector<SoundFileInfo>> run_sound_jobs(const std::vector<SoundJob>& jobs, const std::string& folder,
                                                  int threads, const StopFlag* stop, const JobsProgress& progress) {
  if (::mkdir(folder.c_str(), 0755) != 0 && errno != EEXIST) {
    return Error{ErrorKind::io, 0, folder + ": " + std::strerror(errno), {}};
  }
  return Runner(jobs, folder, stop, progress).run(threads);
}

}  // namespace fretloom
