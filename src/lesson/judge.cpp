#include "lesson/judge.h"

#include <algorithm>

#include "base/text.h"
#include "lesson/source.h"
#include "lesson/table_reader.h"

namespace fretloom {

namespace {

/// The bar of a note as a feel plays it.
std::int64_t bar_in(const Idea& idea, const PlayedPhrase& phrase, const Feel& feel, std::size_t note) {
  return bar_of(idea.settings.meter, unit_onset(phrase.start, phrase.notes[note].unit, feel.notes_per_beat));
}

/// The bar of the rule's own note, where it is the same at every feel; else 0.
std::int64_t common_bar(const Idea& idea, const CompiledIdea& compiled, std::size_t note) {
  std::int64_t common = 0;
  for (const Feel& feel : compiled.feels) {
    const std::int64_t bar = bar_of(idea.settings.meter, feel.onsets[note]);
    if (common != 0 && bar != common) return 0;
    common = bar;
  }
  return common;
}

/// What a teacher reads about blocked changes, and the way out.
void judge_changes(const Lesson& lesson, const CompiledIdea& compiled, const Repair& repair,
                   std::vector<Finding>& findings) {
  const Idea& idea = lesson.ideas[compiled.index];
  const KeyPath where = rule_path(idea);
  const bool turns = repair.possible && repair.first_stroke != idea.first_stroke;
  const Change* blocked = first_blocked(compiled.proof.changes);
  std::string first;
  if (blocked != nullptr)
    first =
        (compiled.blocked.own == 1 ? " after note " : ", the first after note ") + std::to_string(blocked->after_note);
  std::string way;
  std::string text;
  if (!repair.possible) {
    way = "nothing mends this: " + repair.reason;
  } else {
    if (turns) {
      way = "start with " + std::string(repair.first_stroke == Stroke::down ? "a downstroke" : "an upstroke");
      text = "first_stroke = " + toml_string(name(repair.first_stroke));
    }
    if (repair.slurs > 0) {
      way += std::string(turns ? " and " : "") + "slur " + counted(static_cast<std::size_t>(repair.slurs), "note") +
             " of the rule";
      text += std::string(turns ? ", " : "") + std::string(where.last()) + " = " + toml_string(repair.rule);
    }
  }
  findings.push_back(
      {Level::warning, "blocked-changes", where, place_in(lesson.source, where),
       std::to_string(compiled.blocked.own) + " of " + counted(compiled.proof.changes.size(), "string change") +
           (compiled.blocked.own == 1 ? " is" : " are") + " blocked" + first + "; " + way,
       text, blocked == nullptr ? 0 : common_bar(idea, compiled, static_cast<std::size_t>(blocked->after_note) - 1)});
}

/// Accented notes that are avoid notes on the chord under them: one finding a feel.
void judge_accents(const Lesson& lesson, const CompiledIdea& compiled, const Feel& feel,
                   std::vector<Finding>& findings) {
  const Idea& idea = lesson.ideas[compiled.index];
  const Settings& settings = idea.settings;
  const KeyPath where = rule_path(idea);
  const PlayedPhrase phrase = played(idea, compiled, feel);
  std::string first;
  std::int64_t bar = 0;
  std::size_t count = 0;
  for (std::size_t i = 0; i < phrase.body; ++i) {
    if (!phrase.notes[i].accent) continue;
    const Beats onset = unit_onset(phrase.start, phrase.notes[i].unit, feel.notes_per_beat);
    const VampChord* chord = chord_at(settings.vamp, settings.meter, onset);
    if (chord == nullptr || harmony(settings.key(), chord->chord, phrase.notes[i].pitch).role != HarmonicRole::avoid)
      continue;
    if (++count == 1) {
      first = note_words(phrase.notes, i) + " (" + phrase.notes[i].pitch.pitch_class.name() + " on " +
              chord->chord.symbol() + ")";
      bar = bar_in(idea, phrase, feel, i);
    }
  }
  if (count == 0) return;
  findings.push_back({Level::warning, "avoid-accent", where, place_in(lesson.source, where),
                      "at " + std::to_string(feel.notes_per_beat) + " a beat, " + counted(count, "accented note") +
                          (count == 1 ? " clashes with the chord: " : " clash with the chord, the first is ") + first,
                      "", bar});
}

std::string kind_words(EndingKind kind) {
  switch (kind) {
    case EndingKind::fill: return "more notes along the layout";
    case EndingKind::hold: return "a held note";
    case EndingKind::late: return "a late start";
    case EndingKind::trim: return "a shorter last time through";
  }
  return "";
}

/// The landing note's harmony, a kind of ending that was asked for and is not there, and the string changes that the
/// ending adds.
void judge_ending(const Lesson& lesson, const CompiledIdea& compiled, const Feel& feel,
                  std::vector<Finding>& findings) {
  if (feel.endings.empty()) return;
  const Idea& idea = lesson.ideas[compiled.index];
  const EndingOption& option = feel.endings.front();
  const KeyPath table{idea.number, ""};
  const KeyPath where = table / "ending";
  const Place place = place_in(lesson.source, first_known(lesson.source, {where, rule_path(idea), table}));
  const std::string at = "at " + std::to_string(feel.notes_per_beat) + " a beat, ";
  const PlayedPhrase phrase = played(idea, compiled, feel);
  if (option.ending.harmony.role == HarmonicRole::avoid) {
    findings.push_back({Level::warning, "avoid-landing", where, place,
                        at + "the phrase lands on a note that clashes with the chord: " +
                            reason(option, idea.settings.meter, feel.notes_per_beat),
                        "", bar_in(idea, phrase, feel, phrase.notes.size() - 1)});
  }
  if (idea.ending.kind && !has_kind(feel.endings, *idea.ending.kind)) {
    findings.push_back({Level::warning, "ending-kind", where / "kind", place_in(lesson.source, where / "kind"),
                        at + "the phrase cannot end by " + kind_words(*idea.ending.kind) +
                            "; it ends the nearest way: " + reason(option, idea.settings.meter, feel.notes_per_beat),
                        "\"" + std::string(name(option.ending.kind)) + "\""});
  }
  const Change* blocked = first_blocked(option.ending.changes);
  if (blocked == nullptr) return;
  Phrase whole = compiled.phrase;
  whole.notes = option.notes();
  const auto mend = repair(idea.lick.rule, whole, idea.picking, idea.first_stroke, idea.settings.clear_after);
  std::string way = "no change of the rule frees the whole phrase";
  if (mend && mend->possible) {
    way = "every change is free if you start with " +
          std::string(mend->first_stroke == Stroke::down ? "a downstroke" : "an upstroke") + " and play the rule as " +
          mend->rule;
  }
  findings.push_back({Level::warning, "blocked-ending", where, place,
                      at + "the ending's change to string " + std::to_string(blocked->to) + " after note " +
                          std::to_string(blocked->after_note) + " is blocked; " + way,
                      "", bar_in(idea, phrase, feel, static_cast<std::size_t>(blocked->after_note) - 1)});
}

}  // namespace

KeyPath rule_path(const Idea& idea) {
  return {idea.number, idea.lick.rule.kind == RuleKind::cell ? "cell" : "sequence"};
}

/// Where a note stands in words: "note 3 of repetition 2".
std::string note_words(const std::vector<LickNote>& notes, std::size_t i) {
  const auto same = [&](const LickNote& n) { return n.repeat == notes[i].repeat; };
  const auto number = std::count_if(notes.begin(), notes.begin() + static_cast<std::ptrdiff_t>(i) + 1, same);
  return "note " + std::to_string(number) + " of repetition " + std::to_string(notes[i].repeat);
}

void judge(const Lesson& lesson, const CompiledIdea& compiled, std::vector<Finding>& findings) {
  if (compiled.repair) judge_changes(lesson, compiled, *compiled.repair, findings);
  for (const Feel& feel : compiled.feels) {
    judge_accents(lesson, compiled, feel, findings);
    judge_ending(lesson, compiled, feel, findings);
  }
}

}  // namespace fretloom
