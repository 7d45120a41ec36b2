// A keystroke through the engine's JSON, against the same work through the rooms themselves in the same run: the
// reference that no interface on top of them can beat. What a page does on a keystroke: another text, its sentences,
// findings and notes, and one idea's loom, neck and sheet. bench/engine_bench.mjs measures the module in V8.

#include <benchmark/benchmark.h>

#include <string>

#include "engine/calls.h"
#include "engine/drawing.h"
#include "engine/engine.h"
#include "lesson/notes_json.h"
#include "sheet/engrave.h"
#include "sheet/svg.h"
#include "words/ending_sentence.h"
#include "words/idea_sentence.h"
#include "words/lesson_sentence.h"
#include "words/more_sentence.h"
#include "words/teacher_proof.h"

namespace {

using namespace fretloom;

/// Five ideas, two feels each; `turn` changes the first rule, so that nothing is the same text twice running.
std::string lesson_text(int turn) {
  std::string lesson =
      "format = 1\ntitle = \"Bench\"\nkey = \"E dorian\"\ntempo = { slow = 60, goal = 120 }\n"
      "[layout]\nkind = \"per-string\"\nnotes = 3\nfrom = 12\n[vamp]\nchords = \"Em7 | A7\"\n";
  const char* first = turn % 2 == 0 ? "1 3 2 3 + 2 1" : "1 3 2 1 + 2 1";
  for (const char* rule : {first, "1 2 3 2", "3 2 1 2 + 1 2 3 2", "1 2 3", "1 2 3 1 2 3 + 1 2 3 2"})
    lesson += "[[idea]]\nname = \"One of five\"\ncell = \"" + std::string(rule) + "\"\nnotes_per_beat = [4, 6]\n";
  return lesson;
}

std::size_t ask(FretloomEngine* engine, const std::string& request) {
  std::size_t size = 0;
  benchmark::DoNotOptimize(fretloom_call(engine, request.data(), request.size(), &size));
  return size;
}

void keystroke_through_the_engine(benchmark::State& state) {
  const std::string text = lesson_text(0);
  FretloomEngine* engine = fretloom_open(text.data(), text.size());
  std::string replace[2];
  for (const int turn : {0, 1}) replace[turn] = nlohmann::json{{"call", "replace"}, {"text", lesson_text(turn)}}.dump();
  int turn = 0;
  for (auto _ : state) {
    ask(engine, replace[turn ^= 1]);
    ask(engine, R"({"call":"sentences"})");
    ask(engine, R"({"call":"findings"})");
    ask(engine, R"({"call":"notes"})");
    ask(engine, R"({"call":"loom","idea":1,"width":900})");
    ask(engine, R"({"call":"neck","idea":1,"width":900})");
    ask(engine, R"({"call":"sheet","idea":1,"width":900})");
  }
  fretloom_free(engine);
}
BENCHMARK(keystroke_through_the_engine)->Unit(benchmark::kMillisecond);

void keystroke_through_the_rooms(benchmark::State& state) {
  const engine::Session session("");
  const sheet::MusicFont& font = session.font();
  const std::string texts[2] = {lesson_text(0), lesson_text(1)};
  int turn = 0;
  for (auto _ : state) {
    const CompiledLesson lesson = compile_lesson(texts[turn ^= 1]);
    benchmark::DoNotOptimize(lesson_sentence(*lesson.lesson));
    benchmark::DoNotOptimize(lesson_more(*lesson.lesson));
    for (const CompiledIdea& idea : lesson.ideas) {
      benchmark::DoNotOptimize(idea_sentence(lesson, idea));
      benchmark::DoNotOptimize(idea_more(lesson, idea));
      benchmark::DoNotOptimize(teacher_proof(lesson.idea(idea), idea));
      for (const Feel& feel : idea.feels) benchmark::DoNotOptimize(ending_sentence(lesson, idea, feel));
    }
    benchmark::DoNotOptimize(findings_json(lesson));
    benchmark::DoNotOptimize(notes_json(lesson));
    const Handout handout = make_handout(lesson);
    const IdeaSheet& idea = handout.ideas.front();
    const engine::ChosenFeel feel{&idea, 0, 0};
    sheet::SheetOptions options = engine::screen_options(900, sheet::k_least_digits);
    benchmark::DoNotOptimize(write_svg(engine::draw_loom(feel, options, font).scene, font));
    benchmark::DoNotOptimize(write_svg(engine::draw_neck(idea, idea.feels.front(), options, font).scene, font));
    options.neck = options.loom = options.prose = options.vamp = false;
    const auto engraved = engrave(idea, 0, options, font);
    benchmark::DoNotOptimize(write_svg(engraved->scene, font));
    benchmark::DoNotOptimize(note_places(engraved->scene));
  }
}
BENCHMARK(keystroke_through_the_rooms)->Unit(benchmark::kMillisecond);

/// One call at a time on a lesson of five ideas.
void one_call(benchmark::State& state, const std::string& request) {
  const std::string text = lesson_text(0);
  FretloomEngine* engine = fretloom_open(text.data(), text.size());
  std::size_t bytes = 0;
  for (auto _ : state) bytes = ask(engine, request);
  state.counters["reply_bytes"] = static_cast<double>(bytes);
  fretloom_free(engine);
}
BENCHMARK_CAPTURE(one_call, sentences, R"({"call":"sentences"})")->Unit(benchmark::kMicrosecond);
BENCHMARK_CAPTURE(one_call, notes, R"({"call":"notes"})")->Unit(benchmark::kMicrosecond);
BENCHMARK_CAPTURE(one_call, loom, R"({"call":"loom","idea":1,"width":900})")->Unit(benchmark::kMicrosecond);
BENCHMARK_CAPTURE(one_call, neck, R"({"call":"neck","idea":1})")->Unit(benchmark::kMicrosecond);
BENCHMARK_CAPTURE(one_call, sheet, R"({"call":"sheet","idea":1,"width":900})")->Unit(benchmark::kMicrosecond);
BENCHMARK_CAPTURE(one_call, choices, R"({"call":"choices","key":"layout.from"})")->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(one_call, everywhere, R"({"call":"everywhere","idea":1,"necks":true})")
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(one_call, voice, R"({"call":"voice","idea":1,"piece":"loop"})")->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(one_call, pages, R"({"call":"pages"})")->Unit(benchmark::kMillisecond);

void open_a_lesson(benchmark::State& state) {
  const std::string text = lesson_text(0);
  for (auto _ : state) fretloom_free(fretloom_open(text.data(), text.size()));
}
BENCHMARK(open_a_lesson)->Unit(benchmark::kMicrosecond);

}  // namespace
