#include "lesson/compile.h"

#include <algorithm>
#include <cassert>

#include "base/text.h"
#include "lesson/judge.h"
#include "lesson/read.h"
#include "lesson/source.h"
#include "lesson/table_reader.h"

namespace fretloom {

namespace {

/// Turns a remark of expansion into a finding with its place in the file.
Finding to_finding(const Remark& remark, const Lesson& lesson, std::size_t index) {
  const Idea& idea = lesson.ideas[index];
  const KeyPath table{idea.number, ""};
  const bool on_rule = remark.key == "rule";
  const KeyPath where = on_rule ? rule_path(idea) : table / remark.key;
  const KeyPath known = first_known(lesson.source, {where, rule_path(idea), table});
  const std::string_view within = on_rule ? std::string_view(idea.lick.rule.text) : std::string_view();
  const bool quote = (on_rule || remark.key == "back") && !remark.repair.empty();
  return {remark.level,   remark.code,
          where,          place_in(lesson.source, known, within, remark.at),
          remark.message, quote ? toml_string(remark.repair) : remark.repair};
}

/// The fingers that an idea pins, as indices into the phrase, and the key of each.
struct Pins {
  std::vector<PinnedFinger> fingers;
  std::vector<std::string> keys;
};

/// Orphans are findings.
Pins find_pins(const Lesson& lesson, std::size_t index, const Phrase& phrase, std::vector<Finding>& findings) {
  Pins pins;
  const KeyPath where{lesson.ideas[index].number, "fingers"};
  for (const FingerPin& pin : lesson.ideas[index].fingers) {
    const std::size_t before = pins.fingers.size();
    int number = 0;
    int repeat = 0;
    for (std::size_t i = 0; i < phrase.notes.size(); ++i) {
      number = phrase.notes[i].repeat == repeat ? number + 1 : 1;
      repeat = phrase.notes[i].repeat;
      if (number != pin.note || pin.repeat.value_or(repeat) != repeat) continue;
      pins.fingers.push_back({i, pin.finger});
      pins.keys.push_back(pin.key);
    }
    if (pins.fingers.size() == before) {
      findings.push_back(
          {Level::warning, "finger-orphan", where, place_in(lesson.source, where),
           "there is no note " + std::to_string(pin.note) +
               (pin.repeat ? " in repetition " + std::to_string(*pin.repeat) : std::string(" in any repetition")) +
               ", so no finger can be pinned to it",
           ""});
    }
  }
  return pins;
}

Feel make_feel(const Idea& idea, const CompiledIdea& compiled, int notes_per_beat) {
  const Settings& settings = idea.settings;
  const Ground& ground = settings.ground;
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
    const EndingContext context{idea.picking,   idea.first_stroke,    settings.clear_after, settings.meter,
                                notes_per_beat, compiled.blocked.own, idea.ending.kind};
    feel.endings =
        rank_endings(propose_endings(ground, idea.lick, phrase, request), settings.key(), settings.vamp, context);
    const CarriedLayout layout = carried_layout(ground, idea.lick, phrase);
    for (const EndingOption& ending : feel.endings)
      feel.ending_fingers.push_back(finger_ending(layout, ending, compiled.fingering));
  }
  const Beats start = feel.endings.empty() ? Beats(idea.start_beat)
                                           : Beats(Rational(feel.endings.front().ending.start_slot, notes_per_beat));
  for (const LickNote& note : phrase.notes) feel.onsets.push_back(unit_onset(start, note.unit, notes_per_beat));
  return feel;
}

std::optional<CompiledIdea> compile_idea(const Lesson& lesson, std::size_t index, std::vector<Finding>& findings) {
  const Idea& idea = lesson.ideas[index];
  const Ground& ground = idea.settings.ground;
  const Clear clear = idea.settings.clear_after;

  std::vector<Remark> remarks;
  auto phrase = expand(ground, idea.lick, remarks);
  for (const Remark& remark : remarks) findings.push_back(to_finding(remark, lesson, index));
  if (!phrase) return std::nullopt;

  CompiledIdea compiled;
  compiled.index = index;
  compiled.phrase = *std::move(phrase);
  compiled.strokes = assign_strokes(compiled.phrase.notes, idea.picking, idea.first_stroke);
  compiled.proof =
      prove(compiled.phrase.notes, changes(compiled.phrase.notes, compiled.strokes, clear), idea.picking, clear);
  compiled.blocked = {count_blocked(compiled.proof.changes, Clear::upstroke),
                      count_blocked(compiled.proof.changes, Clear::downstroke), compiled.proof.blocked()};
  compiled.repair = repair(idea.lick.rule, compiled.phrase, idea.picking, idea.first_stroke, clear);

  const Pins pins = find_pins(lesson, index, compiled.phrase, findings);
  auto fingering =
      assign_fingers(carried_layout(ground, idea.lick, compiled.phrase), compiled.phrase.notes, pins.fingers);
  if (!fingering) {
    const std::size_t pin = fingering.error().at;
    const KeyPath where{idea.number, pins.keys[pin]};
    findings.push_back({Level::error, "finger-contradiction", where, place_in(lesson.source, where),
                        "the pinned finger of " + note_words(compiled.phrase.notes, pins.fingers[pin].note) +
                            " contradicts its fret: " + fingering.error().what,
                        fingering.error().repair});
    return std::nullopt;
  }
  compiled.fingering = std::move(fingering).value();

  for (const int k : idea.notes_per_beat) compiled.feels.push_back(make_feel(idea, compiled, k));
  judge(lesson, compiled, findings);
  return compiled;
}

}  // namespace

PlayedPhrase played(const Idea& idea, const CompiledIdea& compiled, const Feel& feel) {
  const std::vector<int>& fingers = compiled.fingering.fingers;
  if (feel.endings.empty())
    return {compiled.phrase.notes, compiled.strokes, fingers, compiled.phrase.notes.size(), Beats(idea.start_beat)};
  const EndingOption& option = feel.endings.front();
  PlayedPhrase phrase{option.notes(),
                      option.strokes,
                      {},
                      option.body.size(),
                      Beats(Rational(option.ending.start_slot, feel.notes_per_beat))};
  phrase.fingers.assign(fingers.begin(), fingers.begin() + static_cast<std::ptrdiff_t>(option.body.size()));
  phrase.fingers.insert(phrase.fingers.end(), feel.ending_fingers.front().begin(), feel.ending_fingers.front().end());
  return phrase;
}

bool CompiledLesson::has_errors() const {
  return std::any_of(findings.begin(), findings.end(), [](const Finding& f) { return f.level == Level::error; });
}

CompiledLesson compile_lesson(std::string_view text) {
  LessonReading reading = read_lesson(text);
  if (!reading.lesson) return {std::nullopt, {}, std::move(reading.findings)};
  return compile_lesson(*std::move(reading.lesson), std::move(reading.findings));
}

CompiledLesson compile_lesson(Lesson lesson, std::vector<Finding> findings) {
  CompiledLesson compiled{std::move(lesson), {}, std::move(findings)};
  for (std::size_t i = 0; i < compiled.lesson->ideas.size(); ++i) {
    if (auto idea = compile_idea(*compiled.lesson, i, compiled.findings)) compiled.ideas.push_back(*std::move(idea));
  }
  return compiled;
}

}  // namespace fretloom
