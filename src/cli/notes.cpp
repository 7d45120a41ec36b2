// fretloom notes: every note, stroke and string change of a lesson, as a table or as JSON.

#include <algorithm>
#include <cmath>
#include <memory>

#include "base/text.h"
#include "cli/command.h"
#include "lesson/notes_json.h"
#include "words/ending_sentence.h"
#include "words/teacher_proof.h"

namespace fretloom {

namespace {

constexpr std::size_t k_width = 80;

struct NotesOptions {
  LessonArguments lessons;
  std::optional<int> idea;
  bool json = false;
  bool everywhere = false;
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
  std::string text = "  note rep string fret finger  pitch degree string-note stroke  change\n";
  std::size_t next_change = 0;
  int repeat = 1;
  for (std::size_t i = 0; i < compiled.phrase.notes.size(); ++i) {
    const LickNote& note = compiled.phrase.notes[i];
    if (note.repeat != repeat) text += "\n";
    repeat = note.repeat;
    std::string change;
    if (next_change < compiled.proof.changes.size() &&
        compiled.proof.changes[next_change].after_note == static_cast<int>(i) + 1) {
      change = change_text(compiled.proof.changes[next_change++]);
    }
    const std::string stroke =
        compiled.strokes[i] ? std::string(1, letter(*compiled.strokes[i])) : std::string(name(note.attack));
    std::string row = "  " + padded(std::to_string(i + 1), 4, true) + padded(std::to_string(note.repeat), 4, true) +
                      padded(std::to_string(note.string), 7, true) + padded(std::to_string(note.fret), 5, true) +
                      padded(std::to_string(compiled.fingering.fingers[i]), 7, true) + " " +
                      padded(note.pitch.name(), 6) + padded(note.degree.name(), 7) +
                      padded(std::to_string(note.ordinal), 7, true) + " " +
                      padded(stroke + (note.accent ? "!" : ""), 8) + change;
    while (row.back() == ' ') row.pop_back();
    text += row + "\n";
  }
  return text;
}

std::string realign_text(const Feel& feel) {
  const auto part = [](const Realignment& r, const char* span) {
    return counted(static_cast<std::size_t>(r.spans), span) + " (" +
           counted(static_cast<std::size_t>(r.groups), "group") + ")";
  };
  return "the rule meets the beat after " + part(feel.beat, "beat") + ", the bar after " + part(feel.bar, "bar") +
         ", the vamp after " + part(feel.vamp, "vamp");
}

std::string tenths(double value) { return number_text(std::round(value * 10) / 10); }

std::string feel_text(const Feel& feel, const Settings& settings) {
  const auto rate = [&](const Rational& bpm) { return tenths(notes_per_second(bpm, feel.notes_per_beat).to_double()); };
  return std::to_string(feel.notes_per_beat) + " a beat" + (feel.ratio ? " (" + feel.ratio->name() + ")" : "") + ": " +
         realign_text(feel) + "; " + rate(settings.tempo.slow_bpm) + " to " + rate(settings.tempo.goal_bpm) +
         " notes a second";
}

std::string tail_text(const EndingOption& option) {
  std::vector<LickNote> tail = option.fill;
  tail.push_back(option.landing);
  return to_text(tail);
}

/// The ending that is taken with its sentence, then the others with their reasons.
void add_endings(std::string& text, const CompiledLesson& lesson, const CompiledIdea& compiled, const Feel& feel) {
  if (feel.endings.empty()) return;
  paragraph(text, "ending", tail_text(feel.endings.front()) + ". " + plain(ending_sentence(lesson, compiled, feel)));
  for (std::size_t i = 1; i < feel.endings.size(); ++i) {
    const EndingOption& option = feel.endings[i];
    paragraph(text, "  or",
              std::string(name(option.ending.kind)) + ": " + tail_text(option) + " (" +
                  reason(option, lesson.idea(compiled).settings.meter, feel.notes_per_beat) + ")");
  }
}

/// A note over a chord: the chord tone it is, or what else.
std::string over_chord(const Key& key, const Chord& chord, const LickNote& note) {
  const std::string pitch = note.pitch.pitch_class.name();
  const Harmony found = harmony(key, chord, note.pitch);
  switch (found.role) {
    case HarmonicRole::chord_tone: return pitch + "=" + found.degree;
    case HarmonicRole::tension: return pitch + " tension";
    case HarmonicRole::avoid: return pitch + " avoid";
    case HarmonicRole::outside: return pitch + " outside";
  }
  return pitch;
}

/// The note that sounds on each beat against the chord under it, chord by chord.
std::string harmony_text(const Idea& idea, const PlayedPhrase& phrase, const Feel& feel) {
  const Settings& settings = idea.settings;
  std::string text;
  std::optional<std::int64_t> bar;
  const VampChord* before = nullptr;
  for (const LickNote& note : phrase.notes) {
    const Beats onset = unit_onset(phrase.start, note.unit, feel.notes_per_beat);
    const VampChord* chord = chord_at(settings.vamp, settings.meter, onset);
    if (!onset.value.is_whole() || chord == nullptr) continue;
    const std::int64_t now = bar_of(settings.meter, onset);
    const bool new_bar = bar != now;
    if (new_bar) text += (text.empty() ? "bar " : "; bar ") + std::to_string(now) + " ";
    if (!new_bar && chord != before) text += ", ";
    text += new_bar || chord != before ? chord->chord.symbol() + ": " : ", ";
    text += over_chord(settings.key(), chord->chord, note);
    bar = now;
    before = chord;
  }
  return text;
}

/// The parts of an idea's difficulty by name; no single score.
std::string difficulty_text(const Idea& idea, const CompiledIdea& compiled) {
  double most = 0;
  for (const Feel& feel : compiled.feels)
    most = std::max(most, notes_per_second(idea.settings.tempo.goal_bpm, feel.notes_per_beat).to_double());
  const double per_note = static_cast<double>(compiled.proof.changes.size()) / compiled.phrase.units;
  const Fingering& hand = compiled.fingering;
  return "up to " + tenths(most) + " notes and " + tenths(most * per_note) + " string changes a second at the goal; " +
         std::to_string(compiled.blocked.own) + " blocked; reach " + tenths(hand.reach.value) + " mm; " +
         counted(static_cast<std::size_t>(hand.shifts), "shift") + " (" + tenths(hand.travel.value) + " mm); " +
         counted(hand.rolls.size(), "finger roll");
}

std::string repair_text(const Repair& repair) {
  if (!repair.possible) return "none: " + repair.reason;
  std::string text =
      std::string("start with ") + (repair.first_stroke == Stroke::down ? "a downstroke" : "an upstroke");
  if (repair.slurs > 0)
    text += ", rule " + repair.rule + " (" + counted(static_cast<std::size_t>(repair.slurs), "slur") + ")";
  if (!repair.ties.empty()) text += "; as good: " + join(repair.ties, " | ");
  if (repair.note_by_note) text += "; note by note " + counted(static_cast<std::size_t>(*repair.note_by_note), "slur");
  return text;
}

std::string idea_text(const CompiledLesson& lesson, const CompiledIdea& compiled) {
  const Idea& idea = lesson.idea(compiled);
  const std::string heading = "Idea " + std::to_string(idea.number) + (idea.name.empty() ? "" : ": " + idea.name);
  std::string text = heading + "\n" + std::string(display_width(heading), '-') + "\n";
  const Ground& ground = idea.settings.ground;
  paragraph(text, "rule", idea.lick.rule.text);
  paragraph(text, "layout", frets_text(layout_frets(ground.key, ground.neck, ground.layout)));
  std::string picked;
  for (const Visit& visit : compiled.proof.visits) picked += (picked.empty() ? "" : " ") + std::to_string(visit.notes);
  paragraph(text, "visits", picked);
  paragraph(text, "proof", plain(teacher_proof(idea, compiled)));
  paragraph(text, "blocked",
            std::to_string(compiled.blocked.own) +
                " (pick clear after upstrokes: " + std::to_string(compiled.blocked.upstroke) +
                ", after downstrokes: " + std::to_string(compiled.blocked.downstroke) + ")");
  if (compiled.repair) paragraph(text, "repair", repair_text(*compiled.repair));
  paragraph(text, "hard part", difficulty_text(idea, compiled));
  for (const Feel& feel : compiled.feels) {
    paragraph(text, "feel", feel_text(feel, idea.settings));
    if (const std::string beats = harmony_text(idea, played(idea, compiled, feel), feel); !beats.empty())
      paragraph(text, "beats", beats);
    add_endings(text, lesson, compiled, feel);
  }
  return text + "\n" + note_table(compiled);
}

/// The whole neck: one row a key, then the positions at home one by one.
std::string everywhere_text(const CompiledLesson& lesson, const CompiledIdea& compiled) {
  const Idea& idea = lesson.idea(compiled);
  const std::string heading =
      "Idea " + std::to_string(idea.number) + (idea.name.empty() ? "" : ": " + idea.name) + ", over the whole neck";
  std::string text = heading + "\n" + std::string(display_width(heading), '-') + "\n";
  text +=
      "Columns are frets of the thickest string: o playable, b with blocked changes,\nw wider than the reach, x not "
      "playable, . no scale note; [ ] the lesson's own.\n\n";
  const std::vector<Placement> all = everywhere(idea);
  const int frets = idea.settings.neck().highest_fret();
  std::string key;
  std::string row;
  const auto flush = [&] {
    if (!key.empty()) text += padded(key, 26) + row + "\n";
  };
  for (const Placement& p : all) {
    if (p.key.name() != key) {
      flush();
      key = p.key.name();
      row.assign(static_cast<std::size_t>(frets + 1) * 2, ' ');
      for (int fret = 0; fret <= frets; ++fret) row[static_cast<std::size_t>(fret) * 2 + 1] = '.';
    }
    const std::size_t at = static_cast<std::size_t>(p.from) * 2 + 1;
    row[at] = !p.playable ? 'x' : p.blocked > 0 ? 'b' : p.reach.value > idea.settings.reach ? 'w' : 'o';
    if (p.is_home) {
      row[at - 1] = '[';
      if (at + 1 < row.size()) row[at + 1] = ']';
    }
  }
  flush();
  text += "\n";
  for (const Placement& p : all) {
    if (p.key.name() != idea.settings.key().name()) break;
    paragraph(text, "fret " + std::to_string(p.from),
              (p.playable ? counted(static_cast<std::size_t>(p.repeats), "repetition") : std::string("not playable")) +
                  (p.reason.empty() ? "" : ": " + p.reason));
  }
  return text;
}

std::string lesson_text(const CompiledLesson& compiled, std::optional<int> idea,
                        std::string (*write)(const CompiledLesson&, const CompiledIdea&)) {
  const Lesson& lesson = *compiled.lesson;
  const std::string& title = lesson.prose.title;
  std::string text = title + "\n" + std::string(std::max<std::size_t>(1, display_width(title)), '=') + "\n";
  text += lesson.settings.key.value.said_name() + ", " + lesson.settings.meter.value.name() + "\n";
  for (const CompiledIdea& each : compiled.ideas) {
    if (!idea || *idea == compiled.idea(each).number) text += "\n" + write(compiled, each);
  }
  return text;
}

int run_notes(const NotesOptions& options) {
  const auto lessons = load(options.lessons);
  if (!lessons) return k_exit_unreadable;
  for (const LoadedLesson& lesson : *lessons) {
    print_findings(lesson);
    const bool readable = lesson.compiled.is_readable();
    const int ideas = readable ? static_cast<int>(lesson.compiled.lesson->idea_names.size()) : 0;
    if (readable && options.idea && (*options.idea < 1 || *options.idea > ideas)) {
      return fail(lesson.path + " has no idea " + std::to_string(*options.idea) + "; it has " +
                  counted(static_cast<std::size_t>(ideas), "idea"));
    }
    if (!readable && !options.json) continue;
    const std::string text =
        options.json ? (options.everywhere ? everywhere_json : notes_json)(lesson.compiled, options.idea)
                     : lesson_text(lesson.compiled, options.idea, options.everywhere ? everywhere_text : idea_text);
    if (const int code = print(text); code != 0) return code;
  }
  return exit_code(*lessons);
}

}  // namespace

std::function<int()> add_notes(Arguments& arguments) {
  auto options = std::make_shared<NotesOptions>();
  options->lessons.add_to(arguments);
  arguments.option("--idea", options->idea, "Only this idea, counted from 1", "N");
  arguments.flag("--everywhere", options->everywhere,
                 "Each idea in all twelve keys and every position: playable or not, and why");
  arguments.flag("--json", options->json, "The contract of docs/notes.schema.json, one document a lesson");
  return [options] { return run_notes(*options); };
}

}  // namespace fretloom
