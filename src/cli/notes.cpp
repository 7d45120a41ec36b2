// fretloom notes: every note, stroke and string change of a lesson, as a table or as JSON.

#include <memory>

#include "base/text.h"
#include "cli/command.h"
#include "lesson/notes_json.h"

namespace fretloom {

namespace {

constexpr std::size_t k_width = 80;

struct NotesOptions {
  LessonArguments lessons;
  std::optional<int> idea;
  bool json = false;
};

std::string padded(std::string text, std::size_t width, bool right = false) {
  const std::size_t have = display_width(text);
  const std::string pad(width > have ? width - have : 0, ' ');
  return right ? pad + text : text + pad;
}

void paragraph(std::string& text, const std::string& label, const std::string& prose) {
  const std::string indent(10, ' ');
  bool first = true;
  for (const std::string& line : wrap(prose, k_width - indent.size())) {
    text += (first ? padded(label, indent.size()) : indent) + line + "\n";
    first = false;
  }
}

std::string change_text(const Change& change) {
  return "to " + std::to_string(change.to) + " " + std::string(name(change.type)) + (change.free ? "" : ", blocked");
}

/// One row a note; a change stands behind the last note before it.
std::string note_table(const CompiledIdea& compiled) {
  std::string text = "  note rep string fret  pitch degree string-note stroke  change\n";
  std::size_t next_change = 0;
  int repeat = 1;
  for (std::size_t i = 0; i < compiled.phrase.notes.size(); ++i) {
    const LickNote& note = compiled.phrase.notes[i];
    if (note.repeat != repeat) text += "\n";
    repeat = note.repeat;
    std::string change;
    if (next_change < compiled.changes.size() && compiled.changes[next_change].after_note == static_cast<int>(i) + 1) {
      change = change_text(compiled.changes[next_change++]);
    }
    const std::string stroke = compiled.strokes[i] ? std::string(1, letter(*compiled.strokes[i])) : std::string(name(note.attack));
    std::string row = "  " + padded(std::to_string(i + 1), 4, true) + padded(std::to_string(note.repeat), 4, true) +
                      padded(std::to_string(note.string), 7, true) + padded(std::to_string(note.fret), 5, true) + "  " + padded(note.pitch.name(), 6) +
                      padded(note.degree.name(), 7) + padded(std::to_string(note.ordinal), 11, true) + " " + padded(stroke + (note.accent ? "!" : ""), 8) + change;
    while (row.back() == ' ') row.pop_back();
    text += row + "\n";
  }
  return text;
}

std::string realign_text(const Feel& feel) {
  const auto part = [](const Realignment& r, const char* span) {
    return counted(static_cast<std::size_t>(r.spans), span) + " (" + counted(static_cast<std::size_t>(r.groups), "group") + ")";
  };
  return "the rule meets the beat after " + part(feel.beat, "beat") + ", the bar after " + part(feel.bar, "bar") + ", the vamp after " +
         part(feel.vamp, "vamp");
}

std::string feel_text(const Feel& feel, const Settings& settings) {
  const auto rate = [&](const Rational& bpm) { return number_text(notes_per_second(bpm, feel.notes_per_beat).to_double()); };
  return std::to_string(feel.notes_per_beat) + " a beat" + (feel.ratio ? " (" + feel.ratio->name() + ")" : "") + ": " + realign_text(feel) + "; " +
         rate(settings.slow_bpm) + " to " + rate(settings.goal_bpm) + " notes a second";
}

std::string repair_text(const Repair& repair) {
  if (!repair.possible) return "none: " + repair.reason;
  std::string text = std::string("start with ") + (repair.first_stroke == Stroke::down ? "a downstroke" : "an upstroke");
  if (repair.slurs > 0) text += ", rule " + repair.rule + " (" + counted(static_cast<std::size_t>(repair.slurs), "slur") + ")";
  if (!repair.ties.empty()) text += "; as good: " + join(repair.ties, " | ");
  if (repair.note_by_note) text += "; note by note " + counted(static_cast<std::size_t>(*repair.note_by_note), "slur");
  return text;
}

std::string idea_text(const Idea& idea, const CompiledIdea& compiled) {
  const std::string heading = "Idea " + std::to_string(compiled.index + 1) + (idea.name.empty() ? "" : ": " + idea.name);
  std::string text = heading + "\n" + std::string(display_width(heading), '-') + "\n";
  const Ground& ground = *idea.settings.ground;
  paragraph(text, "rule", idea.lick.rule.text);
  paragraph(text, "layout", frets_text(layout_frets(ground.key, ground.neck, ground.layout)));
  std::string picked;
  for (const Visit& visit : compiled.visits) picked += (picked.empty() ? "" : " ") + std::to_string(visit.notes);
  paragraph(text, "visits", picked);
  paragraph(text, "proof", compiled.proof.sentence);
  paragraph(text, "blocked", std::to_string(compiled.blocked.own) + " (pick clear after upstrokes: " + std::to_string(compiled.blocked.upstroke) +
                                 ", after downstrokes: " + std::to_string(compiled.blocked.downstroke) + ")");
  if (compiled.repair) paragraph(text, "repair", repair_text(*compiled.repair));
  for (const Feel& feel : compiled.feels) paragraph(text, "feel", feel_text(feel, idea.settings));
  return text + "\n" + note_table(compiled);
}

std::string lesson_text(const CompiledLesson& compiled, std::optional<int> idea) {
  const Lesson& lesson = *compiled.lesson;
  std::string text = lesson.title + "\n" + std::string(std::max<std::size_t>(1, display_width(lesson.title)), '=') + "\n";
  text += lesson.settings.key.name() + ", " + lesson.settings.meter.name() + "\n";
  for (const CompiledIdea& each : compiled.ideas) {
    if (!idea || static_cast<std::size_t>(*idea) == each.index + 1) text += "\n" + idea_text(lesson.ideas[each.index], each);
  }
  return text;
}

int run_notes(const NotesOptions& options) {
  const auto lessons = load(options.lessons);
  if (!lessons) return k_exit_unreadable;
  for (const LoadedLesson& lesson : *lessons) {
    print_findings(lesson);
    const bool readable = lesson.compiled.is_readable();
    if (readable && options.idea && (*options.idea < 1 || static_cast<std::size_t>(*options.idea) > lesson.compiled.lesson->ideas.size())) {
      return fail(lesson.path + " has no idea " + std::to_string(*options.idea) + "; it has " + counted(lesson.compiled.lesson->ideas.size(), "idea"));
    }
    if (!readable && !options.json) continue;
    const std::string text = options.json ? notes_json(lesson.compiled, options.idea) : lesson_text(lesson.compiled, options.idea);
    if (const int code = print(text); code != 0) return code;
  }
  return exit_code(*lessons);
}

}  // namespace

std::function<int()> add_notes(CLI::App& app) {
  auto options = std::make_shared<NotesOptions>();
  options->lessons.add_to(app);
  app.add_option("--idea", options->idea, "Only this idea, counted from 1")->type_name("N");
  app.add_flag("--json", options->json, "The contract of docs/notes.schema.json, one document a lesson");
  return [options] { return run_notes(*options); };
}

}  // namespace fretloom
