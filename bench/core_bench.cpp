// The core's hot paths. Reference of the compile: toml++ parsing the same text in the same run, which
// no lesson reader on top of it can beat.

#include <benchmark/benchmark.h>

#include "lesson/compile.h"
#include "lesson/toml.h"

namespace {

using namespace fretloom;

/// Five ideas, two feels each.
const std::string& lesson_text() {
  static const std::string text = [] {
    std::string lesson =
        "format = 1\ntitle = \"Bench\"\nkey = \"E dorian\"\ntempo = { slow = 60, goal = 120 }\n"
        "[layout]\nkind = \"per-string\"\nnotes = 3\nfrom = 12\n[vamp]\nchords = \"Em7 | A7\"\n";
    for (const char* rule : {"1 3 2 3 + 2 1", "1 2 3 2", "3 2 1 2 + 1 2 3 2", "1 2 3", "1 2 3 1 2 3 + 1 2 3 2"}) {
      lesson += "[[idea]]\nname = \"One of five\"\ncell = \"" + std::string(rule) + "\"\nnotes_per_beat = [4, 6]\n";
    }
    return lesson;
  }();
  return text;
}

void parse_toml_only(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(toml::parse(std::string_view(lesson_text())));
}
BENCHMARK(parse_toml_only)->Unit(benchmark::kMicrosecond);

void compile_one_lesson(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(compile_lesson(lesson_text()));
}
BENCHMARK(compile_one_lesson)->Unit(benchmark::kMicrosecond);

Ground ground() {
  const Key key = *parse_key("E dorian");
  const Neck neck{*parse_tuning("standard"), 24, Millimetres(648), 0};
  LayoutRule rule;
  rule.from = 12;
  return {key, neck, *make_layout(key, neck, rule)};
}

/// A cell of eight notes on one string, there and back on every string: 200 notes and more.
Lick long_lick() {
  Lick lick;
  lick.rule = *parse_rule(RuleKind::cell, "1 2 3 2 1 3 2 3 1 2 3 1 2 3 1 2 3");
  lick.back = Back::mirrored;
  return lick;
}

void expand_notes(benchmark::State& state) {
  const Ground on = ground();
  const Lick lick = long_lick();
  std::int64_t notes = 0;
  for (auto _ : state) {
    std::vector<Remark> remarks;
    const auto phrase = expand(on, lick, remarks);
    notes += static_cast<std::int64_t>(phrase->notes.size());
    benchmark::DoNotOptimize(phrase);
  }
  state.SetItemsProcessed(notes);
}
BENCHMARK(expand_notes)->Unit(benchmark::kMicrosecond);

void repair_200_notes(benchmark::State& state) {
  std::vector<Remark> remarks;
  const Lick lick = long_lick();
  const Phrase phrase = *expand(ground(), lick, remarks);
  for (auto _ : state)
    benchmark::DoNotOptimize(repair(lick.rule, phrase, Picking::alternate, Stroke::down, Clear::upstroke));
  state.counters["notes"] = static_cast<double>(phrase.notes.size());
}
BENCHMARK(repair_200_notes)->Unit(benchmark::kMicrosecond);

}  // namespace
