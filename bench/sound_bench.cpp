// Speeds of the sound room. Limits (SPIKES.md): a bare string voice 7,000 x real time, FLAC 520 to 630 x,
// Opus 99 x, MP3 135 x, loudness with true peak 300 x. The counter `x_real_time` compares with them.

#include <benchmark/benchmark.h>
#include <sys/resource.h>

#include <cmath>
#include <filesystem>
#include <memory>

#include "sound/jobs.h"
#include "sound/kernel/voice.h"
#include "sound/loudness.h"
#include "sound/signal.h"

namespace fretloom {
namespace {

void count_real_time(benchmark::State& state, double seconds_each) {
  state.counters["x_real_time"] =
      benchmark::Counter(seconds_each * static_cast<double>(state.iterations()), benchmark::Counter::kIsRate);
}

void one_bare_string(benchmark::State& state) {
  auto string = std::make_unique<voice::PluckedString>();
  string->prepare(voice::usual_string(110.0, false, 0.13));
  float out[64];
  constexpr int blocks = 750;  // a note of one second, as long ones are the work of a string
  for (auto _ : state) {
    string->finger(3, 0.0, 64);
    string->strike({});
    for (int i = 0; i < blocks; ++i) {
      for (float& x : out) x = 0;
      string->render(out, 64);
      benchmark::DoNotOptimize(out[5]);
    }
  }
  count_real_time(state, blocks * 64.0 / k_sample_rate);
}
BENCHMARK(one_bare_string);

/// The voice with all its parts on 16 notes a second; argument: the voicing.
void voice_with_amplifier(benchmark::State& state) {
  const IdeaSheet idea = demo::weaving(240, 8);
  const auto timeline = lay_out(idea, idea.feels[0], {.bpm = Rational(120), .count_in_bars = 0}).value();
  RenderOptions options;
  options.voicing = static_cast<int>(state.range(0));
  for (auto _ : state)
    benchmark::DoNotOptimize(render(idea.instrument, timeline, options).value().strings.samples.data());
  count_real_time(state, static_cast<double>(timeline.frames) / k_sample_rate);
  state.SetLabel(std::string(voicing_names()[static_cast<std::size_t>(state.range(0))]));
}
BENCHMARK(voice_with_amplifier)->DenseRange(0, voice::k_voicings - 1)->Unit(benchmark::kMillisecond);

void level_a_minute(benchmark::State& state) {
  const IdeaSheet idea = demo::weaving(480, 4);
  const auto timeline = lay_out(idea, idea.feels[0], {.bpm = Rational(120), .count_in_bars = 0}).value();
  const Audio audio = render(idea.instrument, timeline, {}).value().strings;
  for (auto _ : state) benchmark::DoNotOptimize(level_gain(audio, {}).value().data());
  count_real_time(state, audio.seconds());
}
BENCHMARK(level_a_minute)->Unit(benchmark::kMillisecond);

void encode_a_minute(benchmark::State& state) {
  const IdeaSheet idea = demo::weaving(480, 4);
  const auto timeline = lay_out(idea, idea.feels[0], {.bpm = Rational(120), .count_in_bars = 0}).value();
  Audio audio = render(idea.instrument, timeline, {}).value().strings;
  for (float& x : audio.samples) x *= 0.3F;
  const auto format = static_cast<AudioFormat>(state.range(0));
  for (auto _ : state) benchmark::DoNotOptimize(encode(audio, format, {}).value().data());
  count_real_time(state, audio.seconds());
  state.SetLabel(std::string(name(format)));
}
BENCHMARK(encode_a_minute)->DenseRange(0, 3)->Unit(benchmark::kMillisecond);

/// The usual set of a lesson of four ideas at two feels: 16 files. Argument: threads.
void usual_set_of_a_lesson(benchmark::State& state) {
  Handout handout;
  handout.prose.title = "Climbing sixes";
  for (int i = 0; i < 4; ++i) {
    IdeaSheet& idea = handout.ideas.emplace_back(demo::weaving(30 + 6 * i, 4));
    idea.number = i + 1;
    idea.feels.push_back(demo::weaving(30 + 6 * i, 6).feels[0]);
  }
  const auto jobs = plan_sound(handout, {}).value();
  const auto folder = std::filesystem::temp_directory_path() / "fretloom-sound-bench";
  double seconds = 0;
  for (auto _ : state) {
    const auto files = run_sound_jobs(jobs, folder.string(), static_cast<int>(state.range(0))).value();
    seconds = 0;
    for (const auto& file : files) seconds += static_cast<double>(file.frames) / k_sample_rate;
  }
  std::filesystem::remove_all(folder);
  count_real_time(state, seconds);
  state.counters["files"] = static_cast<double>(jobs.size());
  state.counters["seconds_of_sound"] = seconds;
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  state.counters["peak_MB"] = static_cast<double>(usage.ru_maxrss) / 1024.0;
}
BENCHMARK(usual_set_of_a_lesson)->Arg(1)->Arg(2)->Unit(benchmark::kMillisecond)->UseRealTime();

void memory_of_one_voice(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(state.iterations());
  state.counters["bytes"] = sizeof(voice::Voice);
}
BENCHMARK(memory_of_one_voice)->Iterations(1);

}  // namespace
}  // namespace fretloom
