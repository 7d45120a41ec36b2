#include "lesson/compile.h"

#include <algorithm>
#include <cassert>

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

/// The number of the fingers list an idea pins, as indices into the phrase. Orphans are findings.
std::vector<PinnedFinger> find_pins(const Lesson& lesson, std::size_t index, const Phrase& phrase,
                                    std::vector<Finding>& findings) {
  std::vector<PinnedFinger> pins;
  const std::string where = "idea[" + std::to_string(index + 1) + "].fingers";
  for (const FingerPin& pin : lesson.ideas[index].fingers) {
    const std::size_t before = pins.size();
    int number = 0;
    int repeat = 0;
    for (std::size_t i = 0; i < phrase.notes.size(); ++i) {
      number = phrase.notes[i].repeat == repeat ? number + 1 : 1;
      repeat = phrase.notes[i].repeat;
      if (number == pin.note && pin.repeat.value_or(repeat) == repeat) pins.push_back({i, pin.finger});
    }
    if (pins.size() == before) {
      findings.push_back(
          {Level::warning, "finger-orphan", where, place_in(lesson.source, where),
           "there is no note " + std::to_string(pin.note) +
               (pin.repeat ? " in repetition " + std::to_string(*pin.repeat) : std::string(" in any repetition")) +
               " to pin a finger to",
           ""});
    }
  }
  return pins;
}

Feel make_feel(const Idea& idea, const Ground& ground, const CompiledIdea& compiled, int notes_per_beat) {
  const Settings& settings = idea.settings;
  const Phrase& phrase = compiled.phrase;
  const std::int64_t rule_units = idea.lick.rule.units();
  const std::int64_t bar_units = static_cast<std::int64_t>(notes_per_beat) * settings.meter.beats_per_bar();
  Feel feel;
  feel.notes_per_beat = notes_per_beat;
  feel.ratio = tuplet_ratio(settings.meter, notes_per_beat);
  feel.beat = realign(rule_units, notes_per_beat);
  feel.bar = realign(rule_units, bar_units);
  feel.vamp = realign(rule_units, bar_units * settings.vamp.bars);
  if (idea.ending.wanted) {
    const EndingRequest request{idea.start_beat, notes_per_beat, settings.meter, idea.ending.on, idea.ending.degree};
    const EndingContext context{idea.picking, idea.first_stroke, settings.clear_after, settings.meter, notes_per_beat};
    feel.endings =
        rank_endings(propose_endings(ground, idea.lick, phrase, request), settings.key, settings.vamp, context);
    for (const Ending& ending : feel.endings)
      feel.ending_fingers.push_back(
          finger_ending(carried_layout(ground, idea.lick, phrase), ending, compiled.fingering));
  }
  const Beats start =
      feel.endings.empty() ? Beats(idea.start_beat) : Beats(Rational(feel.endings.front().start_slot, notes_per_beat));
  for (const LickNote& note : phrase.notes) feel.onsets.push_back(unit_onset(start, note.unit, notes_per_beat));
  return feel;
}

std::string stroke_word(Stroke stroke) { return stroke == Stroke::down ? "down" : "up"; }

/// What a teacher reads about blocked changes, and the way out.
Finding blocked_finding(const Lesson& lesson, const CompiledIdea& compiled, const Repair& repair) {
  const Idea& idea = lesson.ideas[compiled.index];
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

/// Where a note stands in words: "note 3 of repetition 2".
std::string note_words(const std::vector<LickNote>& notes, std::size_t i) {
  const auto same = [&](const LickNote& n) { return n.repeat == notes[i].repeat; };
  const auto number = std::count_if(notes.begin(), notes.begin() + static_cast<std::ptrdiff_t>(i) + 1, same);
  return "note " + std::to_string(number) + " of repetition " + std::to_string(notes[i].repeat);
}

/// Accented notes that are avoid notes on the chord under them: one finding a feel.
void judge_accents(const Idea& idea, const std::string& where, const Place& place, const PlayedPhrase& phrase,
                   const Feel& feel, std::vector<Finding>& findings) {
  const Settings& settings = idea.settings;
  const Beats length(Rational(static_cast<std::int64_t>(settings.vamp.bars) * settings.meter.beats_per_bar()));
  std::string first;
  std::size_t count = 0;
  for (std::size_t i = 0; i < phrase.body; ++i) {
    if (!phrase.notes[i].accent) continue;
    const Beats onset = unit_onset(phrase.start, phrase.notes[i].unit, feel.notes_per_beat);
    const ScoreChord* chord = chord_at(settings.vamp.chords, length, onset);
    if (chord == nullptr || harmony(settings.key, chord->chord, phrase.notes[i].pitch).role != HarmonicRole::avoid)
      continue;
    if (++count == 1)
      first = note_words(phrase.notes, i) + " (" + phrase.notes[i].pitch.pitch_class.name() + " on " +
              chord->chord.symbol() + ")";
  }
  if (count == 0) return;
  findings.push_back({Level::warning, "avoid-accent", where, place,
                      "at " + std::to_string(feel.notes_per_beat) + " a beat " + counted(count, "accented note") +
                          (count == 1 ? " is an avoid note: " : " are avoid notes, first ") + first,
                      ""});
}

/// The landing note's harmony, and the string changes that the ending adds.
void judge_ending(const Lesson& lesson, const CompiledIdea& compiled, const Feel& feel,
                  std::vector<Finding>& findings) {
  if (feel.endings.empty()) return;
  const Idea& idea = lesson.ideas[compiled.index];
  const Ending& ending = feel.endings.front();
  const std::string path = "idea[" + std::to_string(compiled.index + 1) + "]";
  const Place place =
      place_in(lesson.source, first_known(lesson.source, {path + ".ending", path + "." + rule_key(idea), path}));
  const std::string at = "at " + std::to_string(feel.notes_per_beat) + " a beat ";
  if (ending.harmony.role == HarmonicRole::avoid) {
    findings.push_back({Level::warning, "avoid-landing", path + ".ending", place,
                        at + "the phrase lands on an avoid note: " + ending.reason, ""});
  }
  const std::vector<Change> blocked = ending.blocked();
  if (blocked.empty()) return;
  Phrase whole = compiled.phrase;
  whole.notes = ending.notes();
  const auto mend = repair(idea.lick.rule, whole, idea.picking, idea.first_stroke, idea.settings.clear_after);
  std::string way = "no repair of the rule frees the whole phrase";
  if (mend && mend->possible) {
    way = "the whole phrase is free with first_stroke = " + toml_string(stroke_word(mend->first_stroke)) +
          " and the rule " + mend->rule;
  }
  findings.push_back({Level::warning, "blocked-ending", path + ".ending", place,
                      at + "the change to string " + std::to_string(blocked.front().to) + " after note " +
                          std::to_string(blocked.front().after_note) + ", in the ending, is blocked; " + way,
                      ""});
}

std::optional<CompiledIdea> compile_idea(const Lesson& lesson, std::size_t index, std::vector<Finding>& findings) {
  const Idea& idea = lesson.ideas[index];
  if (!idea.sound || !idea.settings.ground) return std::nullopt;
  const Ground& ground = *idea.settings.ground;
  const Clear clear = idea.settings.clear_after;

  std::vector<Remark> remarks;
  auto phrase = expand(ground, idea.lick, remarks);
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
  if (compiled.repair) findings.push_back(blocked_finding(lesson, compiled, *compiled.repair));

  const std::vector<PinnedFinger> pins = find_pins(lesson, index, compiled.phrase, findings);
  auto fingering = assign_fingers(carried_layout(ground, idea.lick, compiled.phrase), compiled.phrase.notes, pins);
  const std::string path = "idea[" + std::to_string(index + 1) + "]";
  if (!fingering) {
    findings.push_back({Level::error, "finger-contradiction", path + ".fingers",
                        place_in(lesson.source, path + ".fingers"),
                        "the pinned finger of " + note_words(compiled.phrase.notes, pins[fingering.error().at].note) +
                            " contradicts its fret: " + fingering.error().what,
                        fingering.error().repair});
    return std::nullopt;
  }
  compiled.fingering = std::move(fingering).value();

  for (const int k : idea.notes_per_beat) {
    const Feel& feel = compiled.feels.emplace_back(make_feel(idea, ground, compiled, k));
    const std::string where = path + "." + rule_key(idea);
    judge_accents(idea, where, place_in(lesson.source, where), played(idea, compiled, feel), feel, findings);
    judge_ending(lesson, compiled, feel, findings);
  }
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
  assert(settings.ground);  // or the idea would not be compiled
  Score score;
  score.title = one_line(idea.name);
  score.note = plain_prose(idea.note);
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
  score.group = idea.lick.rule.group();
  score.rule_units = idea.lick.rule.units();
  score.notes_per_beat = feel.notes_per_beat;
  score.ratio = feel.ratio;
  const PlayedPhrase phrase = played(idea, compiled, feel);
  score.proof = prove(phrase.notes, changes(phrase.notes, phrase.strokes, settings.clear_after), idea.picking).sentence;
  score.start = phrase.start;
  for (std::size_t i = 0; i < phrase.notes.size(); ++i) {
    const LickNote& note = phrase.notes[i];
    const Role role = i < phrase.body ? Role::rule : i + 1 < phrase.notes.size() ? Role::fill : Role::landing;
    score.notes.push_back({unit_onset(phrase.start, note.unit, feel.notes_per_beat),
                           Beats(Rational(note.units, feel.notes_per_beat)), note.pitch, note.string, note.fret,
                           note.ordinal, note.degree.name(), phrase.strokes[i], note.attack, phrase.fingers[i],
                           note.accent, note.repeat, role});
  }
  const LickNote& last = phrase.notes.back();
  const int units = phrase.body == phrase.notes.size() ? compiled.phrase.units : last.unit + last.units;
  score.end = unit_onset(phrase.start, units, feel.notes_per_beat);
  score.vamp = settings.vamp.chords;
  score.vamp_length = Beats(Rational(static_cast<std::int64_t>(settings.vamp.bars) * settings.meter.beats_per_bar()));
  score.vamp_rhythm = settings.rhythm;
  score.swing = settings.swing;
  return score;
}

}  // namespace

PlayedPhrase played(const Idea& idea, const CompiledIdea& compiled, const Feel& feel) {
  const std::vector<int>& fingers = compiled.fingering.fingers;
  if (feel.endings.empty())
    return {compiled.phrase.notes, compiled.strokes, fingers, compiled.phrase.notes.size(), Beats(idea.start_beat)};
  const Ending& ending = feel.endings.front();
  PlayedPhrase phrase{
      ending.notes(), ending.strokes, {}, ending.body.size(), Beats(Rational(ending.start_slot, feel.notes_per_beat))};
  phrase.fingers.assign(fingers.begin(), fingers.begin() + static_cast<std::ptrdiff_t>(ending.body.size()));
  phrase.fingers.insert(phrase.fingers.end(), feel.ending_fingers.front().begin(), feel.ending_fingers.front().end());
  return phrase;
}

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
  handout.title = one_line(lesson.title);
  handout.author = one_line(lesson.author);
  handout.intro = plain_prose(lesson.intro);
  for (const std::string& link : lesson.links) handout.links.push_back(one_line(link));
  handout.licence = one_line(lesson.licence);
  handout.logo = lesson.logo;
  handout.key = lesson.settings.key.name();
  for (const CompiledIdea& idea : compiled.ideas) {
    ScoreSet& set = handout.ideas.emplace_back();
    for (const Feel& feel : idea.feels) set.feels.push_back(make_score(compiled.idea(idea), idea, feel));
  }
  return handout;
}

}  // namespace fretloom
