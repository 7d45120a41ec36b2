// What docs/band.md says in figures, measured from the finished sound by libebur128 and by transforms.
// usage: band_figures LESSON... > TABLES   Markdown, for scripts/band_figures.sh

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <string>
#include <vector>

#include "base/decimal.h"
#include "files/files.h"
#include "lesson/compile.h"
#include "sound/loudness.h"
#include "sound/signal.h"
#include "sound/sound_take.h"

namespace fretloom {
namespace {

/// Whole sounds of a job's stems.
struct Stems {
  std::array<Audio, k_stems> audio;
  [[nodiscard]] const Audio& of(Stem stem) const { return audio[static_cast<std::size_t>(stem)]; }
};

Result<Stems> play(SoundJob job) {
  job.stems.clear();
  for (const Stem stem : {Stem::strings, Stem::band, Stem::bass, Stem::chords, Stem::drums}) job.stems.push_back(stem);
  Stems stems;
  const auto played = play_take(job, [&](const TakePieces& pieces) {
    for (std::size_t s = 0; s < k_stems; ++s) {
      const auto& more = pieces.lossless.stems[s];
      stems.audio[s].samples.insert(stems.audio[s].samples.end(), more.begin(), more.end());
    }
    return Result<void>();
  });
  if (!played) return played.error();
  return stems;
}

double lufs(const Audio& audio) { return measure_loudness(audio).value().integrated_lufs; }

std::vector<float> middle(const Audio& audio) {
  std::vector<float> mono;
  for (std::size_t i = 0; i < audio.samples.size(); i += 2)
    mono.push_back(0.5F * (audio.samples[i] + audio.samples[i + 1]));
  return mono;
}

/// Power between two frequencies over the whole sound, in dB.
double band_level(const std::vector<std::vector<double>>& frames, double low, double high, std::size_t size) {
  double sum = 1e-20;
  for (const auto& frame : frames) {
    for (auto bin = static_cast<std::size_t>(low * static_cast<double>(size) / k_sample_rate);
         bin < static_cast<std::size_t>(high * static_cast<double>(size) / k_sample_rate); ++bin)
      sum += frame[bin] * frame[bin];
  }
  return 10.0 * std::log10(sum);
}

constexpr std::size_t k_size = 8192;

/// Transforms of all windows, where `where` sounds.
std::vector<std::vector<double>> frames_of(const Audio& audio, const Audio& where) {
  const auto mono = middle(audio);
  const auto gate = middle(where);
  std::vector<std::vector<double>> frames;
  for (std::size_t from = 0; from + k_size <= mono.size(); from += k_size) {
    float peak = 0;
    for (std::size_t i = from; i < from + k_size; ++i) peak = std::max(peak, std::abs(gate[i]));
    if (peak > 0.02F) frames.push_back(signal::spectrum(mono, from, k_size));
  }
  return frames;
}

constexpr std::array<double, 20> k_thirds = {63,  80,  100,  125,  160,  200,  250,  315,  400,  500,
                                             630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000};

void print_thirds(const std::string& name, const Audio& audio, const Audio& where) {
  const auto frames = frames_of(audio, where);
  if (frames.empty()) return;
  const double all = band_level(frames, 40, 16000, k_size);
  if (all < -100) return;
  std::printf("| %s |", name.c_str());
  for (const double hz : k_thirds) std::printf(" %.0f |", band_level(frames, hz * 0.8909, hz * 1.1225, k_size) - all);
  std::printf("\n");
}

int run(const std::vector<std::string>& lessons) {
  SoundChoice choice;
  choice.backings = {Backing::band};
  choice.pieces = {Piece::demo};
  choice.samples = std::make_shared<BandSamples>();
  std::printf(
      "| lesson, rhythm, beats a minute | mix LUFS | true peak dBTP | lick over band LU | bass | chords | drums | "
      "200-400 Hz | 2-5 kHz | lick over chords 1-4 kHz, dB |\n"
      "| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n");
  std::vector<std::pair<std::string, Stems>> kept;
  for (const std::string& path : lessons) {
    const auto text = read_file(path, 1U << 20U).value();
    const Handout handout = make_handout(compile_lesson(text));
    choice.ideas = {handout.ideas.front().number};
    const auto jobs = plan_sound(handout, choice).value();
    for (const SoundJob& job : jobs) {
      if (&job != &jobs[0] && &job != &jobs[1]) continue;  // of the first feel
      const Stems stems = play(job).value();
      const double band = lufs(stems.of(Stem::band));
      const auto frames = frames_of(stems.of(Stem::band), stems.of(Stem::band));
      const double all = band_level(frames, 40, 16000, k_size);
      const auto lick = frames_of(stems.of(Stem::strings), stems.of(Stem::strings));
      const auto chords = frames_of(stems.of(Stem::chords), stems.of(Stem::strings));
      const auto loud = measure_loudness(stems.of(Stem::mix)).value();
      const auto beside = [&](Stem stem) {  // a part that is silent has no level
        const double level = lufs(stems.of(stem)) - band;
        return level < -70 ? std::string("-") : fixed_decimal(level, 1);
      };
      std::printf("| %s, %s, %.0f | %.2f | %.2f | %.1f | %s | %s | %s | %.1f | %.1f | %.1f |\n",
                  title_of(job.idea).c_str(), std::string(job.idea.vamp.rhythm.name).c_str(),
                  job.timeline.bpm.to_double(), loud.integrated_lufs, loud.true_peak_dbtp,
                  lufs(stems.of(Stem::strings)) - band, beside(Stem::bass).c_str(), beside(Stem::chords).c_str(),
                  beside(Stem::drums).c_str(), band_level(frames, 200, 400, k_size) - all,
                  band_level(frames, 2000, 5000, k_size) - all,
                  band_level(lick, 1000, 4000, k_size) - band_level(chords, 1000, 4000, k_size));
      std::fflush(stdout);
      if (job.timeline.bpm == job.idea.goal_bpm) kept.emplace_back(title_of(job.idea), stems);
    }
  }
  std::printf("\n| thirds, dB under the whole |");
  for (const double hz : k_thirds) std::printf(" %.0f |", hz);
  std::printf("\n| --- |");
  for (std::size_t i = 0; i < k_thirds.size(); ++i) std::printf(" --- |");
  std::printf("\n");
  for (const auto& [name, stems] : kept) {
    print_thirds(name + ": lick", stems.of(Stem::strings), stems.of(Stem::strings));
    for (const auto& [part, stem] : {std::pair("band", Stem::band), std::pair("bass", Stem::bass),
                                     std::pair("chords", Stem::chords), std::pair("drums", Stem::drums)})
      print_thirds(name + ": " + part, stems.of(stem), stems.of(stem));
  }
  return 0;
}

}  // namespace
}  // namespace fretloom

int main(int count, char** arguments) { return fretloom::run({arguments + 1, arguments + count}); }
