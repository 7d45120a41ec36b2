#include "words/teacher_proof.h"

#include <algorithm>

#include "words/english.h"
#include "words/proof_verdict.h"
#include "words/repair_sentence.h"

namespace fretloom {

namespace {

int changes_of(const Proof& proof) { return static_cast<int>(proof.changes.size()); }

int count_after(const Proof& proof, Stroke stroke) {
  return static_cast<int>(
      std::count_if(proof.changes.begin(), proof.changes.end(), [&](const Change& c) { return c.last == stroke; }));
}

int count_sweeps(const Proof& proof) {
  return static_cast<int>(std::count_if(proof.changes.begin(), proof.changes.end(),
                                        [](const Change& c) { return c.type == ChangeType::sweep; }));
}

/// "each of them", "both", "it": the changes as a subject, and its verb.
std::string all_come(const Proof& proof) {
  if (changes_of(proof) == 1) return "It comes";
  return changes_of(proof) == 2 ? "Both come" : "Each comes";
}

std::string only_clear(Clear clear) {
  return clear == Clear::none ? "stands clear after neither stroke"
                              : "stands clear only after " + std::string(name(clear)) + "s";
}

/// All changes follow one stroke. `clear` is not both.
std::string one_stroke_reason(const Proof& proof) {
  const Stroke stroke = proof.changes.front().last;
  std::string text =
      all_come(proof) + " after " + a_stroke(stroke) +
      (proof.blocked() == 0 ? ", when the pick stands clear" : ", but the pick " + only_clear(proof.clear));
  if (proof.visits.size() >= 3) {
    text += proof.visits.size() == 3
                ? ": the visit to the string between has an even number of picked notes ("
                : ": every visit to a string between the first and the last has an even number of picked notes (";
    text += folded(picked_counts(proof.visits)) + ")";
  }
  return text + ".";
}

std::string looped_reason(const Proof& proof) {
  if (!proof.looped || proof.changes.empty()) return "";
  if (*proof.looped) return " It stays so when the whole is looped.";
  const Visit& first = proof.visits.front();
  const Visit& last = proof.visits.back();
  if (proof.joins()) {
    return " Looped it does not stay so: the last visit and the first join on string " + std::to_string(first.string) +
           " to " + counted_word(first.picked + last.picked, "picked note") + ".";
  }
  return " Looped it does not stay so: the first visit has " + counted_word(first.picked, "picked note") +
         " and the last " + number_word(last.picked) + ".";
}

std::string counter_reason(const Proof& proof) {
  const auto counter = std::find_if(proof.changes.begin(), proof.changes.end(),
                                    [&](const Change& c) { return c.after_note == *proof.counter_example; });
  const Visit& odd = proof.visits[*proof.odd_visit];
  return "The pick " + only_clear(proof.clear) + (proof.clear == Clear::none ? ", and" : ", but") +
         " the changes do not all follow the same stroke: the first comes after " +
         a_stroke(proof.changes.front().last) + ", the one after note " + std::to_string(counter->after_note) +
         " after " + a_stroke(counter->last) + ", since the " + ordinal_word(static_cast<int>(*proof.odd_visit) + 1) +
         " visit (to string " + std::to_string(odd.string) + ") has " + counted_word(odd.picked, "picked note") +
         ", an odd number (" + folded(picked_counts(proof.visits)) + ").";
}

/// "six come after an upstroke and three after a downstroke".
std::string stroke_counts(const Proof& proof) {
  const int up = count_after(proof, Stroke::up);
  const int down = count_after(proof, Stroke::down);
  if (up > 0 && down > 0) {
    return counted_word(up, "change") + (up == 1 ? " comes" : " come") + " after an upstroke and " + number_word(down) +
           " after a downstroke";
  }
  const int all = up + down;
  const Stroke stroke = up > 0 ? Stroke::up : Stroke::down;
  if (all == 1) return "the one change comes after " + a_stroke(stroke);
  return (all == 2 ? std::string("both") : "all " + number_word(all)) + " come after " + a_stroke(stroke);
}

std::string computed_reason(const Proof& proof) {
  const int sweeps = count_sweeps(proof);
  std::string text = std::string(proof.picking == Picking::grid ? "With grid picking " : "With economy picking ") +
                     stroke_counts(proof);
  if (sweeps > 0) {
    text += sweeps == changes_of(proof) ? "; " + std::string(sweeps == 1   ? "it is a sweep"
                                                             : sweeps == 2 ? "both are sweeps"
                                                                           : "all are sweeps")
                                        : "; " + number_word(sweeps) + (sweeps == 1 ? " is a sweep" : " are sweeps");
    text += sweeps == 1 ? ", which is always free" : ", which are always free";
  }
  text += ".";
  if (sweeps < changes_of(proof)) text += " The pick " + only_clear(proof.clear) + ".";
  return text;
}

std::string reason(const Proof& proof) {
  if (proof.changes.empty()) return "";
  if (proof.clear == Clear::both)
    return "The pick stands clear after both strokes, so it can leave a string at any time.";
  if (proof.picking != Picking::alternate) return computed_reason(proof);
  return proof.counter_example ? counter_reason(proof) : one_stroke_reason(proof) + looped_reason(proof);
}

}  // namespace

Sentence teacher_proof(const Idea& idea, const CompiledIdea& compiled) {
  Sentence text;
  add(text, verdict(compiled.proof));
  const std::string why = reason(compiled.proof);
  if (!why.empty()) add(text, " " + why);
  add_sentence(text, repair_sentence(idea, compiled));
  return text;
}

}  // namespace fretloom
