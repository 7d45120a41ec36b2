// Explaining a phrase over all candidate keys and layouts. Target: 200 notes in 50 ms.

#include <benchmark/benchmark.h>

#include <cstdint>

#include "insight/explain.h"
#include "lick/rule.h"

namespace {

using namespace fretloom;

/// A cell carried over the strings, there and back, as often as it takes for so many notes.
GivenPhrase phrase_of(std::size_t notes, bool places, int wrong_every = 0) {
  const Key key = *parse_key("E dorian");
  const Neck neck{*parse_tuning("standard"), 24, Millimetres(648), 0};
  LayoutRule rule;
  rule.from = 12;
  const Ground ground{key, neck, *make_layout(key, neck, rule)};
  Lick lick;
  lick.rule = *parse_rule(RuleKind::cell, "1 2 3 2 1 3 2 3 1 2 + 3 2 1 2 3 1 2 3 1 2");
  lick.back = Back::retrograde;
  std::vector<Remark> remarks;
  const auto phrase = expand(ground, lick, remarks);
  GivenPhrase given;
  given.tuning = neck.tuning;
  for (const LickNote& note : phrase->notes) {
    if (given.notes.size() == notes) break;
    GivenNote out;
    if (places) out.at = StringFret{note.string, note.fret};
    if (wrong_every > 0 && given.notes.size() % wrong_every == 7 && out.at) ++out.at->fret;
    if (!places) out.midi = note.midi;
    given.notes.push_back(out);
  }
  return given;
}

/// Notes here and there on the neck, by a linear congruence: no rule tells them.
GivenPhrase phrase_without_rule(std::size_t notes) {
  GivenPhrase given;
  given.tuning = *parse_tuning("standard");
  std::uint32_t state = 1;
  while (given.notes.size() < notes) {
    state = state * 1664525U + 1013904223U;
    GivenNote note;
    note.at = StringFret{1 + static_cast<int>((state >> 16U) % 6), static_cast<int>((state >> 24U) % 16)};
    given.notes.push_back(note);
  }
  return given;
}

void explain_notes(benchmark::State& state, const GivenPhrase& given) {
  std::size_t answers = 0;
  for (auto _ : state) answers += explain(given)->answers.size();
  state.counters["notes"] = static_cast<double>(given.notes.size());
  state.counters["answers"] = static_cast<double>(answers) / static_cast<double>(state.iterations());
}
BENCHMARK_CAPTURE(explain_notes, clean_200, phrase_of(200, true))->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(explain_notes, one_wrong_in_ten_200, phrase_of(200, true, 10))->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(explain_notes, clean_30, phrase_of(30, true))->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(explain_notes, pitches_alone_200, phrase_of(200, false))->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(explain_notes, no_rule_30, phrase_without_rule(30))->Unit(benchmark::kMillisecond);

}  // namespace
