// Packs: a demo lesson from nothing, each group of its parts alone, and again without a change.

#include <benchmark/benchmark.h>

#include <filesystem>
#include <fstream>
#include <iterator>

#include "draw/font_file.h"
#include "pack/pack.h"

namespace fretloom {
namespace {

namespace fs = std::filesystem;

const std::string& lesson_text() {
  static const std::string text = [] {
    std::ifstream in(FRETLOOM_SOURCE_DIR "/demos/climbing-sixes.toml", std::ios::binary);
    return std::string(std::istreambuf_iterator<char>(in), {});
  }();
  return text;
}

PackPlan plan_of(std::vector<PartGroup> groups) {
  static const sheet::MusicFont font = draw::load_music_font(FRETLOOM_MUSIC_FONT).value();
  PackChoice choice;
  choice.groups = std::move(groups);
  choice.plan.present_bpm = Rational(0);
  return plan_parts(compile_lesson(lesson_text()), {lesson_text(), "", "", "climbing-sixes", "../climbing-sixes.toml"},
                    choice, {&font, "bench"})
      .value();
}

fs::path root() { return fs::temp_directory_path() / "fretloom-pack-bench"; }

PackRun run() {
  PackRun run;
  run.root = root() / "packs";
  run.cache = root() / "cache";
  run.threads = 2;
  return run;
}

void make(benchmark::State& state, const PackPlan& plan, bool cold) {
  for (auto _ : state) {
    state.PauseTiming();
    if (cold) fs::remove_all(root());
    state.ResumeTiming();
    const auto report = make_pack(plan, run());
    if (!report) state.SkipWithError(report.error().what.c_str());
  }
  state.counters["parts"] = static_cast<double>(plan.parts.size());
  fs::remove_all(root());
}

void cold_pack(benchmark::State& state) { make(state, plan_of({}), true); }
BENCHMARK(cold_pack)->Unit(benchmark::kMillisecond)->UseRealTime();

void cold_group(benchmark::State& state) {
  const auto group = static_cast<PartGroup>(state.range(0));
  state.SetLabel(std::string(name(group)));
  make(state, plan_of({group}), true);
}
BENCHMARK(cold_group)->DenseRange(1, static_cast<int>(PartGroup::plan))->Unit(benchmark::kMillisecond)->UseRealTime();

void unchanged_pack(benchmark::State& state) {
  const PackPlan plan = plan_of({});
  fs::remove_all(root());
  static_cast<void>(make_pack(plan, run()));
  make(state, plan, false);
}
BENCHMARK(unchanged_pack)->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace
}  // namespace fretloom
