#include "words/lesson_sentence.h"

#include "words/english.h"

namespace fretloom {

namespace {

void add_clause(Sentence& sentence, const Sentence& clause, std::string_view before = ", ") {
  if (clause.empty()) return;
  if (!sentence.empty()) add(sentence, before);
  add(sentence, clause);
}

/// A sentence of its own: capital and full stop. Nothing for nothing.
Sentence closed(Sentence clause) {
  if (clause.empty()) return clause;
  clause.front().text = capital(clause.front().text);
  add(clause, ".");
  return clause;
}

bool is_same(const std::optional<Vamp>& a, const Meter& meter_a, const std::optional<Vamp>& b, const Meter& meter_b) {
  if (!a || !b) return a.has_value() == b.has_value();
  return chords_text(*a, meter_a) == chords_text(*b, meter_b);
}

bool has_same_rhythm(const std::optional<Vamp>& a, const std::optional<Vamp>& b) {
  return a && b && a->rhythm.name == b->rhythm.name && a->swing == b->swing;
}

bool is_same(const Neck& a, const Neck& b) {
  return a.tuning == b.tuning && a.frets == b.frets && a.capo == b.capo && a.scale_length == b.scale_length;
}

}  // namespace

Sentence lesson_sentence(const Lesson& lesson) {
  const MusicalFacts facts = musical_facts(lesson.settings);
  const KeyPlaces places(lesson.source, 0);
  Sentence first;
  add_clause(first, key_clause(facts, places));
  add_clause(first, instrument_clause(facts, places));
  add_clause(first, layout_clause(facts, places));
  const Sentence vamp = vamp_clause(facts, places);
  add_clause(first, vamp);
  add_clause(first, meter_clause(facts, places), vamp.empty() ? ", " : " ");
  add_clause(first, tempo_clause(facts, places));
  Sentence text = closed(first);
  add_sentence(text, closed(rhythm_clause(facts, places)));
  add_sentence(text, closed(clear_clause(facts, places)));
  if (facts.reach != Settings{}.reach) add_sentence(text, closed(reach_clause(facts, places)));
  return text;
}

Sentence override_sentence(const Lesson& lesson, const Idea& idea) {
  const MusicalFacts own = musical_facts(idea.settings);
  const MusicalFacts all = musical_facts(lesson.settings);
  const KeyPlaces places(lesson.source, idea.number);
  Sentence clauses;
  if (own.key != all.key) add_clause(clauses, key_clause(own, places));
  if (!is_same(own.neck, all.neck)) add_clause(clauses, instrument_clause(own, places));
  if (own.layout != all.layout) add_clause(clauses, layout_clause(own, places));
  if (!is_same(own.vamp, own.meter, all.vamp, all.meter)) add_clause(clauses, vamp_clause(own, places));
  if (own.meter != all.meter) add_clause(clauses, meter_clause(own, places));
  const bool other_tempo = own.tempo.slow_bpm != all.tempo.slow_bpm || own.tempo.goal_bpm != all.tempo.goal_bpm;
  if (other_tempo || own.meter.is_compound() != all.meter.is_compound()) add_clause(clauses, tempo_clause(own, places));
  Sentence text;
  if (!clauses.empty()) {
    add(text, "For this idea alone: ");
    add(text, clauses);
    add(text, ".");
  }
  const auto alone = [&](const Sentence& clause) {
    if (clause.empty()) return;
    Sentence sentence;
    add(sentence, "For this idea alone ");
    add(sentence, clause);
    add(sentence, ".");
    add_sentence(text, sentence);
  };
  if (own.vamp && all.vamp && !has_same_rhythm(own.vamp, all.vamp)) alone(rhythm_clause(own, places));
  if (own.clear != all.clear) alone(clear_clause(own, places));
  if (own.reach != all.reach) alone(reach_clause(own, places));
  return text;
}

}  // namespace fretloom
