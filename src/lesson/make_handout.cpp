// From compiled ideas to the one form that every output reads.

#include "base/text.h"
#include "lesson/compile.h"
#include "lick/feel.h"

namespace fretloom {

namespace {

Prose plain(const Prose& given) {
  Prose prose;
  prose.title = one_line(given.title);
  prose.author = one_line(given.author);
  prose.intro = plain_prose(given.intro);
  for (const std::string& link : given.links) prose.links.push_back(one_line(link));
  prose.licence = one_line(given.licence);
  prose.copyright = one_line(given.copyright);
  prose.version = one_line(given.version);
  prose.logo = given.logo;
  prose.id = one_line(given.id);
  if (prose.id.empty()) prose.id = prose.author + (prose.author.empty() ? "" : ": ") + prose.title;
  return prose;
}

std::vector<LayoutRow> layout_rows(const Ground& ground) {
  std::vector<LayoutRow> rows;
  for (int string = ground.neck.strings(); string >= 1; --string) {
    LayoutRow& row = rows.emplace_back();
    for (int o = 1; o <= ground.layout.strings[ground.neck.index(string)].count; ++o) {
      const LickNote note = place_note(ground, string, o, 0);
      row.frets.push_back(note.fret);
      row.degrees.push_back(note.degree);
    }
  }
  return rows;
}

ScoreNote score_note(const LickNote& note, const std::optional<Stroke>& stroke, int finger, Role role) {
  ScoreNote out;
  out.onset = Beats(Rational(note.unit));
  out.duration = Beats(Rational(note.units));
  out.pitch = note.pitch;
  out.string = note.string;
  out.fret = note.fret;
  out.ordinal = note.ordinal;
  out.degree = note.degree;
  out.stroke = stroke;
  out.attack = note.attack;
  out.finger = finger;
  out.accent = note.accent;
  out.repeat = note.repeat;
  out.role = role;
  return out;
}

Score make_score(const Idea& idea, const CompiledIdea& compiled, const Feel& feel) {
  const int k = feel.notes_per_beat;
  const PlayedPhrase phrase = played(idea, compiled, feel);
  Score score;
  score.notes_per_beat = k;
  score.ratio = feel.ratio;
  score.start = phrase.start;
  for (std::size_t i = 0; i < phrase.notes.size(); ++i) {
    const LickNote& note = phrase.notes[i];
    const Role role = i < phrase.body ? Role::rule : i + 1 < phrase.notes.size() ? Role::fill : Role::landing;
    ScoreNote& added = score.notes.emplace_back(score_note(note, phrase.strokes[i], phrase.fingers[i], role));
    added.onset = unit_onset(phrase.start, note.unit, k);
    added.duration = Beats(Rational(note.units, k));
  }
  const LickNote& last = phrase.notes.back();
  const bool lands = phrase.body < phrase.notes.size();
  score.end = unit_onset(phrase.start, lands ? last.unit + last.units : compiled.phrase.units, k);
  if (!feel.endings.empty()) score.ending = feel.endings.front().ending;
  return score;
}

IdeaSheet make_sheet(const Idea& idea, const CompiledIdea& compiled) {
  const Settings& settings = idea.settings;
  IdeaSheet sheet;
  sheet.number = idea.number;
  sheet.name = one_line(idea.name);
  sheet.note = plain_prose(idea.note);
  sheet.key = settings.key();
  sheet.instrument = {settings.neck()};
  sheet.layout = layout_rows(settings.ground);
  sheet.meter = settings.meter;
  sheet.slow_bpm = settings.tempo.slow_bpm;
  sheet.goal_bpm = settings.tempo.goal_bpm;
  sheet.rule = idea.lick.rule;
  sheet.start_string = idea.lick.start_string;
  sheet.start_ordinal = idea.lick.start_ordinal;
  sheet.carry = idea.lick.carry;
  sheet.back = idea.lick.back;
  sheet.repeats = compiled.phrase.repeats;
  sheet.first_stroke = idea.first_stroke;
  sheet.vamp = settings.vamp;
  for (std::size_t i = 0; i < compiled.phrase.notes.size(); ++i)
    sheet.notes.push_back(
        score_note(compiled.phrase.notes[i], compiled.strokes[i], compiled.fingering.fingers[i], Role::rule));
  sheet.proof = compiled.proof;
  sheet.repair = compiled.repair;
  for (const Feel& feel : compiled.feels) sheet.feels.push_back(make_score(idea, compiled, feel));
  return sheet;
}

}  // namespace

Handout make_handout(const CompiledLesson& compiled) {
  Handout handout;
  if (!compiled.lesson) return handout;
  handout.prose = plain(compiled.lesson->prose);
  handout.key = compiled.lesson->settings.key.value;
  for (const CompiledIdea& idea : compiled.ideas) handout.ideas.push_back(make_sheet(compiled.idea(idea), idea));
  return handout;
}

}  // namespace fretloom
