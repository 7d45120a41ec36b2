// Speeds of the sound room. Limits (SPIKES.md): a bare string voice 7,000 x real time, FLAC 520 to 630 x,
// Opus 99 x, MP3 135 x, loudness with true peak 300 x. The counter `x_real_time` compares with them.

#include <benchmark/benchmark.h>
#include <fluidsynth.h>
#include <sys/resource.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <memory>

#include "sound/band_player.h"
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

double peak_megabytes() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  return static_cast<double>(usage.ru_maxrss) / 1024.0;
}

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
  state.counters["peak_MB"] = peak_megabytes();
}
BENCHMARK(usual_set_of_a_lesson)->Arg(1)->Arg(2)->Unit(benchmark::kMillisecond)->UseRealTime();

/// Eight bars of a full band in sixteenths at 120 beats a minute.
struct BandToPlay {
  Band notes;
  BandTimeline timeline;
};
BandToPlay band_to_play() {
  IdeaSheet idea = demo::weaving(32, 4);
  idea.key = parse_key("E dorian").value();
  idea.vamp = parse_vamp("Em7 | A7", idea.meter).value();
  BandOptions options;
  options.bpm = Rational(120);
  options.lick = PitchRange{76, 88};
  BandToPlay band{play_vamp(idea, options).value(), {}};
  Timeline loop;
  loop.frames = frame_of(band.notes.length.value, options.bpm);
  loop.loop = true;
  loop.stretches = {{0, options.bpm, band.notes.length}};
  band.timeline = lay_out_band(idea, loop, options).value();
  return band;
}

/// Our band, its sounds rendered before: string voice, hits and room.
void band_loop(benchmark::State& state) {
  const BandToPlay band = band_to_play();
  BandSamples samples;
  if (!samples.check()) return state.SkipWithError("fluid-soundfont-gm is not installed");
  BandPiece piece;
  (void)BandPlayer::make(band.timeline, &samples).value();
  for (auto _ : state) {
    const auto player = BandPlayer::make(band.timeline, &samples).value();
    for (std::int64_t done = 0; done < band.timeline.frames; done += 4096)
      player->read(piece, std::min<std::int64_t>(4096, band.timeline.frames - done));
    benchmark::DoNotOptimize(piece.drums.data());
  }
  count_real_time(state, static_cast<double>(band.timeline.frames) / k_sample_rate);
}
BENCHMARK(band_loop)->Unit(benchmark::kMillisecond);

/// The same with the sounds rendered anew, as the first loop of a run has it.
void first_band_loop(benchmark::State& state) {
  const BandToPlay band = band_to_play();
  BandPiece piece;
  for (auto _ : state) {
    BandSamples samples;
    if (!samples.check()) return state.SkipWithError("fluid-soundfont-gm is not installed");
    const auto player = BandPlayer::make(band.timeline, &samples).value();
    for (std::int64_t done = 0; done < band.timeline.frames; done += 4096)
      player->read(piece, std::min<std::int64_t>(4096, band.timeline.frames - done));
    benchmark::DoNotOptimize(piece.drums.data());
  }
  count_real_time(state, static_cast<double>(band.timeline.frames) / k_sample_rate);
}
BENCHMARK(first_band_loop)->Unit(benchmark::kMillisecond);

/// The same notes by FluidSynth alone, its SoundFont loaded before, every part by its own program, with a room as ours;
/// argument: with its chorus too, as it comes.
void fluidsynth_alone(benchmark::State& state) {
  const BandToPlay band = band_to_play();
  fluid_settings_t* settings = new_fluid_settings();
  fluid_settings_setnum(settings, "synth.sample-rate", k_sample_rate);
  fluid_settings_setint(settings, "synth.chorus.active", static_cast<int>(state.range(0)));
  fluid_synth_t* synth = new_fluid_synth(settings);
  if (fluid_synth_sfload(synth, std::string(k_usual_soundfont).c_str(), 1) == FLUID_FAILED)
    return state.SkipWithError("fluid-soundfont-gm is not installed");
  struct Event {
    std::int64_t frame;
    int channel, key, velocity;
  };
  std::vector<Event> events;
  for (const BandPart& part : band.notes.parts) {
    const bool drums = part.role == BandRole::drums;
    const int channel = drums ? 9 : static_cast<int>(part.role);
    if (!drums) fluid_synth_program_change(synth, channel, *midi_program(part.role));
    for (const BandNote& note : part.notes) {
      events.push_back({frame_of(note.onset.value, Rational(120)), channel, note.key, note.velocity});
      events.push_back({frame_of(note.onset.value + note.duration.value, Rational(120)), channel, note.key, 0});
    }
  }
  std::stable_sort(events.begin(), events.end(), [](const Event& a, const Event& b) { return a.frame < b.frame; });
  std::array<float, 64> left{};
  std::array<float, 64> right{};
  for (auto _ : state) {
    std::size_t next = 0;
    for (std::int64_t done = 0; done < band.timeline.frames; done += 64) {
      for (; next < events.size() && events[next].frame <= done; ++next) {
        const Event& e = events[next];
        if (e.velocity > 0) {
          fluid_synth_noteon(synth, e.channel, e.key, e.velocity);
        } else {
          fluid_synth_noteoff(synth, e.channel, e.key);
        }
      }
      fluid_synth_write_float(synth, 64, left.data(), 0, 1, right.data(), 0, 1);
      benchmark::DoNotOptimize(left[3]);
    }
  }
  delete_fluid_synth(synth);
  delete_fluid_settings(settings);
  count_real_time(state, static_cast<double>(band.timeline.frames) / k_sample_rate);
}
BENCHMARK(fluidsynth_alone)->Arg(0)->Arg(1)->Unit(benchmark::kMillisecond);

/// An idea at slow and goal tempo, with the band, and the band alone at both, as MP3. Limit: 8 s on two threads.
void demos_with_band(benchmark::State& state) {
  Handout handout;
  handout.ideas = {demo::weaving(30, 4)};
  handout.ideas[0].key = parse_key("E dorian").value();
  handout.ideas[0].vamp = parse_vamp("Em7 | A7", handout.ideas[0].meter).value();
  const auto folder = std::filesystem::temp_directory_path() / "fretloom-band-bench";
  double seconds = 0;
  for (auto _ : state) {
    SoundChoice choice;
    choice.pieces = {Piece::demo, Piece::band};
    choice.backings = {Backing::band};
    choice.tempos = {handout.ideas[0].slow_bpm, handout.ideas[0].goal_bpm};
    choice.samples = std::make_shared<BandSamples>();
    const auto jobs = plan_sound(handout, choice).value();
    const auto files = run_sound_jobs(jobs, folder.string(), static_cast<int>(state.range(0))).value();
    seconds = 0;
    for (const auto& file : files) seconds += static_cast<double>(file.frames) / k_sample_rate;
  }
  std::filesystem::remove_all(folder);
  count_real_time(state, seconds);
  state.counters["peak_MB"] = peak_megabytes();
}
BENCHMARK(demos_with_band)->Arg(1)->Arg(2)->Unit(benchmark::kMillisecond)->UseRealTime();

/// A lick with its band for half an hour, as MP3. The peak is the program's: run it alone. Limit: 200 MB.
void half_an_hour_with_band(benchmark::State& state) {
  Handout handout;
  handout.ideas = {demo::weaving(240, 4)};
  handout.ideas[0].key = parse_key("E dorian").value();
  handout.ideas[0].vamp = parse_vamp("Em7 | A7", handout.ideas[0].meter).value();
  const auto folder = std::filesystem::temp_directory_path() / "fretloom-long-bench";
  SoundChoice choice;
  choice.backings = {Backing::band};
  choice.tempos = {Rational(61)};  // half an hour is the most that is played
  choice.times = 30;
  choice.samples = std::make_shared<BandSamples>();
  double seconds = 0;
  for (auto _ : state) {
    const auto files = run_sound_jobs(plan_sound(handout, choice).value(), folder.string(), 1).value();
    seconds = static_cast<double>(files.at(0).frames) / k_sample_rate;
  }
  std::filesystem::remove_all(folder);
  count_real_time(state, seconds);
  state.counters["seconds_of_sound"] = seconds;
  state.counters["peak_MB"] = peak_megabytes();
}
BENCHMARK(half_an_hour_with_band)->Iterations(1)->Unit(benchmark::kMillisecond);

void memory_of_one_voice(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(state.iterations());
  state.counters["bytes"] = sizeof(voice::Voice);
}
BENCHMARK(memory_of_one_voice)->Iterations(1);

}  // namespace
}  // namespace fretloom
