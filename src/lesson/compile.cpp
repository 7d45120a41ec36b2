#include "lesson/compile.h"

#include <algorithm>

#include "base/text.h"
#include "lesson/read.h"
#include "lesson/source.h"
#include "lesson/table_reader.h"

namespace fretloom {

namespace {

std::string rule_key(const Idea& idea) { return idea.lick.rule.kind == RuleKind::cell ? "cell" : "sequence"; }

/// Turns a remark of expansion into a finding with its place in the file.
Finding to_finding(const Remark& remark, const Lesson& lesson, std::size_t index) {
  const Idea& idea = lesson.ideas[index];
  const std::string path = "idea[" + std::to_string(index + 1) + "]";
  const bool on_rule = remark.key == "rule";
  const std::string where = path + "." + (on_rule ? rule_key(idea) : remark.key);
  const std::string known = first_known(lesson.source, {where, path + "." + rule_key(idea), path});
  const std::string_view within = on_rule ? std::string_view(idea.lick.rule.text) : std::string_view();
  const bool quote = (on_rule || remark.key == "back") && !remark.repair.empty();
  return {remark.level,   remark.code,
          where,          place_in(lesson.source, known, within, remark.at),
          remark.message, quote ? toml_string(remark.repair) : remark.repair};
}

Feel make_feel(const Idea& idea, const Phrase& phrase, int notes_per_beat) {
  const Settings& settings = idea.settings;
  const std::int64_t rule_units = idea.lick.rule.units();
  const std::int64_t bar_units = static_cast<std::int64_t>(notes_per_beat) * settings.meter.beats_per_bar();
  Feel feel;
  feel.notes_per_beat = notes_per_beat;
  feel.ratio = tuplet_ratio(settings.meter, notes_per_beat);
  for (const LickNote& note : phrase.notes)
    feel.onsets.push_back(unit_onset(Beats(idea.start_beat), note.unit, notes_per_beat));
  feel.beat = realign(rule_units, notes_per_beat);
  feel.bar = realign(rule_units, bar_units);
  feel.vamp = realign(rule_units, bar_units * settings.vamp.bars);
  return feel;
}

std::string stroke_word(Stroke stroke) { return stroke == Stroke::down ? "down" : "up"; }

/// What a teacher reads about blocked changes, and the way out.
Finding blocked_finding(const Lesson& lesson, const CompiledIdea& compiled) {
  const Idea& idea = lesson.ideas[compiled.index];
  const Repair& repair = *compiled.repair;
  const std::string path = "idea[" + std::to_string(compiled.index + 1) + "]";
  const std::string where = path + "." + rule_key(idea);
  const bool turns = repair.possible && repair.first_stroke != idea.first_stroke;
  std::string way;
  std::string text;
  if (!repair.possible) {
    way = "no repair: " + repair.reason;
  } else {
    if (turns) {
      way = "start with " + std::string(repair.first_stroke == Stroke::down ? "a downstroke" : "an upstroke");
      text = "first_stroke = " + toml_string(stroke_word(repair.first_stroke));
    }
    if (repair.slurs > 0) {
      way += std::string(turns ? " and " : "") + "slur " + counted(static_cast<std::size_t>(repair.slurs), "note") +
             " of the rule";
      text += std::string(turns ? ", " : "") + rule_key(idea) + " = " + toml_string(repair.rule);
    }
  }
  return {Level::warning,
          "blocked-changes",
          where,
          place_in(lesson.source, where),
          std::to_string(compiled.blocked.own) + " of " + counted(compiled.changes.size(), "string change") +
              (compiled.blocked.own == 1 ? " is" : " are") + " blocked; " + way,
          text};
}

std::optional<CompiledIdea> compile_idea(const Lesson& lesson, std::size_t index, std::vector<Finding>& findings) {
  const Idea& idea = lesson.ideas[index];
  if (!idea.sound) return std::nullopt;
  const Clear clear = idea.settings.clear_after;

  std::vector<Remark> remarks;
  auto phrase = expand(*idea.settings.ground, idea.lick, remarks);
  for (const Remark& remark : remarks) findings.push_back(to_finding(remark, lesson, index));
  if (!phrase) return std::nullopt;

  CompiledIdea compiled;
  compiled.index = index;
  compiled.phrase = *std::move(phrase);
  compiled.strokes = assign_strokes(compiled.phrase.notes, idea.picking, idea.first_stroke);
  compiled.visits = visits(compiled.phrase.notes);
  compiled.changes = changes(compiled.phrase.notes, compiled.strokes, clear);
  compiled.blocked = {count_blocked(compiled.changes, Clear::upstroke),
                      count_blocked(compiled.changes, Clear::downstroke), count_blocked(compiled.changes)};
  compiled.proof = prove(compiled.phrase.notes, compiled.changes, idea.picking);
  compiled.repair = repair(idea.lick.rule, compiled.phrase, idea.picking, idea.first_stroke, clear);
  if (compiled.repair) findings.push_back(blocked_finding(lesson, compiled));
  for (const int k : idea.notes_per_beat) compiled.feels.push_back(make_feel(idea, compiled.phrase, k));
  return compiled;
}

std::vector<ScoreString> score_strings(const Ground& ground) {
  std::vector<ScoreString> strings;
  for (int string = ground.neck.strings(); string >= 1; --string) {
    ScoreString& row = strings.emplace_back();
    row.open = ground.neck.tuning.open[ground.neck.index(string)];
    for (int o = 1; o <= ground.layout.strings[ground.neck.index(string)].count; ++o) {
      const LickNote note = place_note(ground, string, o, 0);
      row.frets.push_back(note.fret);
      row.degrees.push_back(note.degree.name());
    }
  }
  return strings;
}

Score make_score(const Idea& idea, const CompiledIdea& compiled, const Feel& feel) {
  const Settings& settings = idea.settings;
  Score score;
  score.title = idea.name;
  score.note = idea.note;
  score.key = settings.key.name();
  score.fifths = key_signature(settings.key);
  score.meter = settings.meter;
  score.slow_bpm = settings.slow_bpm;
  score.goal_bpm = settings.goal_bpm;
  score.strings = score_strings(*settings.ground);
  score.capo = settings.capo;
  score.frets = settings.frets;
  score.scale_length = Millimetres(settings.scale_length);
  score.rule = idea.lick.rule.text;
  score.rule_in_words = rule_in_words(idea.lick.rule);
  score.proof = compiled.proof.sentence;
  score.group = idea.lick.rule.group();
  score.rule_units = idea.lick.rule.units();
  score.notes_per_beat = feel.notes_per_beat;
  score.ratio = feel.ratio;
  score.start = Beats(idea.start_beat);
  score.end = unit_onset(score.start, compiled.phrase.units, feel.notes_per_beat);
  for (std::size_t i = 0; i < compiled.phrase.notes.size(); ++i) {
    const LickNote& note = compiled.phrase.notes[i];
    score.notes.push_back({feel.onsets[i], Beats(Rational(note.units, feel.notes_per_beat)), note.pitch, note.string,
                           note.fret, note.ordinal, note.degree.name(), compiled.strokes[i], note.attack, std::nullopt,
                           note.accent, note.repeat, Role::rule});
  }
  score.vamp = settings.vamp.chords;
  score.vamp_length = Beats(Rational(static_cast<std::int64_t>(settings.vamp.bars) * settings.meter.beats_per_bar()));
  score.vamp_rhythm = settings.rhythm;
  score.swing = settings.swing;
  return score;
}

}  // namespace

bool CompiledLesson::has_errors() const {
  return std::any_of(findings.begin(), findings.end(), [](const Finding& f) { return f.level == Level::error; });
}

CompiledLesson compile_lesson(std::string_view text) {
  LessonReading reading = read_lesson(text);
  CompiledLesson compiled{std::move(reading.lesson), {}, std::move(reading.findings)};
  if (!compiled.lesson) return compiled;
  for (std::size_t i = 0; i < compiled.lesson->ideas.size(); ++i) {
    if (auto idea = compile_idea(*compiled.lesson, i, compiled.findings)) compiled.ideas.push_back(*std::move(idea));
  }
  return compiled;
}

Handout make_handout(const CompiledLesson& compiled) {
  Handout handout;
  if (!compiled.lesson) return handout;
  const Lesson& lesson = *compiled.lesson;
  handout.title = lesson.title;
  handout.author = lesson.author;
  handout.intro = lesson.intro;
  handout.links = lesson.links;
  handout.licence = lesson.licence;
  handout.logo = lesson.logo;
  handout.key = lesson.settings.key.name();
  for (const CompiledIdea& idea : compiled.ideas) {
    ScoreSet& set = handout.ideas.emplace_back();
    for (const Feel& feel : idea.feels) set.feels.push_back(make_score(compiled.idea(idea), idea, feel));
  }
  return handout;
}

}  // namespace fretloom
