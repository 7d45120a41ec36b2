// docs/words.md: how templates are written, from their own tables, and every text of three demos. Written anew by
// FRETLOOM_REWRITE=1; read it in full before you keep it.

#include <gtest/gtest.h>

#include "base/text.h"
#include "words/captions.h"
#include "words/chapters.h"
#include "words/demo.h"
#include "words/lesson_texts.h"
#include "words/plan.h"

namespace fretloom {
namespace {

constexpr int k_rate = 48000;

std::string heading(TextScope scope) {
  switch (scope) {
    case TextScope::lesson: return "Anywhere";
    case TextScope::idea: return "Between `{each idea}` and its `{end}`";
    case TextScope::feel: return "Between `{each feel}` and its `{end}`, within an idea";
    case TextScope::item: return "Between `{each enclosed}` or `{each link}` and its `{end}`";
  }
  return "";
}

constexpr std::string_view k_start = R"(# The words of a lesson

A pack holds an e-mail, a description for the page where the lesson is published, and a script for the video. Fretloom
writes them from templates: plain text with words in braces that are filled in for each lesson.

The built-in templates are good to send. To write your own, run

    fretloom new --templates templates

beside your lesson. It writes `email.txt`, `description.txt` and `script.txt` into the folder `templates`; edit them as
you like, and delete those that you do not need. A file that is there already is kept.

## How a template is written

| you write | you get |
| --- | --- |
| `{title}` | the lesson's title; nothing where the lesson has none |
| `{each idea} ... {end}` | what stands between, once for each idea |
| `{if licence} ... {end}` | what stands between, only where the lesson has a licence |
| `{# a remark }` | nothing: a remark for yourself |
| `{{` | a brace of your own |

- One line of a template is one paragraph. The e-mail is broken at 72 columns and the script at 80; the description is
  not broken, since pages do that by themselves.
- A line is left out where all its placeholders are empty, or where it holds blocks and remarks alone. Several empty
  lines become one.
- A full stop behind a value that ends with one is left out: `I call it {title}.` is right for "Ready?" too.
- Capitals and blanks within braces do not matter.
- In the script, values are written to be said aloud: numbers as words, no chord symbols. `{frets}`, `{strokes}`,
  `{music}`, `{chords}` and `{play}` are for the screen and keep their figures.
- A placeholder that does not exist, a block without its `{end}` or a file that is not UTF-8 text is reported with its
  line and column, with what may stand there and with the nearest repair. Your file is never changed.

## Placeholders
)";

std::string placeholder_tables() {
  std::string text;
  for (const TextScope scope : {TextScope::lesson, TextScope::idea, TextScope::feel, TextScope::item}) {
    text += "\n" + heading(scope) + ":\n\n| placeholder | gives |\n| --- | --- |\n";
    for (const Placeholder& row : placeholders()) {
      std::string says(row.says);
      for (std::size_t at = 0; (at = says.find('|', at)) != std::string::npos; at += 2) says.replace(at, 1, "\\|");
      if (row.scope == scope) text += "| `{" + std::string(row.name) + "}` | " + says + " |\n";
    }
  }
  text += "\nBlocks:\n\n| block | is written for |\n| --- | --- |\n";
  for (const TextList& list : text_lists())
    text += "| `{each " + std::string(list.name) + "}` | " + std::string(list.says) + " |\n";
  return text;
}

std::string fenced(const std::string& title, const std::string& text) {
  return "\n### " + title + "\n\n```text\n" + text + "```\n";
}

std::vector<std::string> enclosed(const Handout& handout) {
  const std::string slug = file_slug(handout.prose.title, "lesson");
  return {"the handout to print (" + slug + "-handout.pdf)", "the tab as plain text (" + slug + "-tab.txt)",
          "sound files to hear and play along with (audio)", "a practice plan (" + slug + "-practice-plan.txt)"};
}

/// A bar of count-in, the feel from first to last, a bar to ring out: a clock of the test's own.
std::int64_t frame_of(const IdeaSheet& idea, const Score& score, const Rational& bpm, const Beats& beat) {
  const Rational lead = std::max(Rational(idea.meter.beats_per_bar()), -score.start.value);
  return ((lead + beat.value) * Rational(60 * k_rate) / bpm).round_half_up();
}

std::string captions(const IdeaSheet& idea, const Score& score, const Rational& bpm) {
  std::vector<NoteTime> times;
  for (const ScoreNote& note : score.notes)
    times.push_back({frame_of(idea, score, bpm, note.onset), frame_of(idea, score, bpm, note.onset + note.duration)});
  return web_vtt(caption_cues(idea, score, times, k_rate, caption_tempo(bpm, bpm)).value(), k_rate);
}

std::string chapters(const Handout& handout) {
  std::vector<DemoLength> demos;
  for (const FeelRef& feel : feels_of(handout)) {
    for (const Rational& bpm : {feel.idea->slow_bpm, feel.idea->goal_bpm}) {
      const Beats end = feel.score->end + Beats(Rational(feel.idea->meter.beats_per_bar()));
      demos.push_back({feel, bpm, frame_of(*feel.idea, *feel.score, bpm, end)});
    }
  }
  return chapters_text(demo_chapters(demos, k_rate)).value();
}

std::string texts_of(const std::string& demo) {
  const CompiledLesson lesson = compile_lesson(demo_text(demo));
  const Handout handout = make_handout(lesson);
  const LessonSentences sentences = sentences_of(lesson, handout);
  const IdeaSheet& idea = handout.ideas.front();
  const Score& score = idea.feels.front();
  PlanRequest request;
  request.days = 2;
  request.present_bpm = idea.slow_bpm;
  return "\n## " + handout.prose.title + "\n" +
         fenced("The e-mail", email_text(handout, sentences, enclosed(handout))) +
         fenced("The description", description_text(handout, sentences, enclosed(handout))) +
         fenced("The script", script_text(handout, sentences, enclosed(handout))) +
         fenced("Captions of the first idea, slow", captions(idea, score, idea.slow_bpm)) +
         fenced("Captions of the first idea, at its goal", captions(idea, score, idea.goal_bpm)) +
         fenced("Chapters of its demos, slow and at the goal", chapters(handout)) +
         fenced("Two days of the practice plan", plan_text(make_plan(handout, request).value(), handout));
}

TEST(Manual, SaysHowTemplatesAreWrittenAndWhatTheyGive) {
  std::string text(k_start);
  text += placeholder_tables();
  for (const std::string demo : {"climbing-sixes", "odd-ones-out", "jig-in-six-eight"}) text += texts_of(demo);
  const auto path = std::filesystem::path(FRETLOOM_SOURCE_DIR) / "docs/words.md";
  if (std::getenv("FRETLOOM_REWRITE") != nullptr) test::put_bytes(path, text);
  EXPECT_EQ(text, test::bytes_of(path));
}

}  // namespace
}  // namespace fretloom
