#include "words/proof_sentences.h"

#include <algorithm>

#include "hand/strokes.h"
#include "lesson/judge.h"
#include "lesson/table_reader.h"
#include "lick/rule.h"
#include "words/english.h"

namespace fretloom {

namespace {

constexpr std::size_t k_fewest_folded = 8;
constexpr std::size_t k_most_ties_told = 2;  // the choices for the rule have them all

int changes_of(const Proof& proof) { return static_cast<int>(proof.changes.size()); }

int count_after(const Proof& proof, Stroke stroke) {
  return static_cast<int>(
      std::count_if(proof.changes.begin(), proof.changes.end(), [&](const Change& c) { return c.last == stroke; }));
}

int count_sweeps(const Proof& proof) {
  return static_cast<int>(std::count_if(proof.changes.begin(), proof.changes.end(),
                                        [](const Change& c) { return c.type == ChangeType::sweep; }));
}

std::vector<int> picked_counts(const std::vector<Visit>& visits) {
  std::vector<int> counts;
  for (const Visit& visit : visits) counts.push_back(visit.picked);
  return counts;
}

/// The visits between the first and the last. Precondition: three or more.
std::vector<Visit> inner(const std::vector<Visit>& visits) { return {visits.begin() + 1, visits.end() - 1}; }

std::string way(const Change& change) {
  return "from string " + std::to_string(change.from) + " to string " + std::to_string(change.to) + " after note " +
         std::to_string(change.after_note);
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

/// "the second", "the second and the fourth".
std::string slurred_notes(const std::vector<int>& numbers) {
  std::vector<std::string> names;
  for (const int number : numbers) names.push_back("the " + ordinal_word(number));
  return listed(names) + (numbers.size() == 1 ? " note" : " notes");
}

/// "hammer on to the second note and pull off to the fifth note": what `mended` slurs that `rule` does not.
std::string slur_words(const Rule& rule, const Rule& mended) {
  std::vector<int> hammers;
  std::vector<int> pulls;
  int note = 0;
  for (std::size_t i = 0; i < rule.tokens.size() && i < mended.tokens.size(); ++i) {
    if (rule.tokens[i].rest) continue;
    ++note;
    if (rule.tokens[i].attack == mended.tokens[i].attack) continue;
    (mended.tokens[i].attack == Attack::hammer ? hammers : pulls).push_back(note);
  }
  std::string text = hammers.empty() ? "" : "hammer on to " + slurred_notes(hammers);
  if (!pulls.empty()) text += (text.empty() ? "pull off to " : " and pull off to ") + slurred_notes(pulls);
  return text;
}

class Mender {
 public:
  Mender(const Idea& idea, const CompiledIdea& compiled) : idea_(idea), compiled_(compiled) {}

  Sentence tell() {
    if (!compiled_.repair) return {};
    if (compiled_.repair->possible) {
      possible(*compiled_.repair);
    } else {
      add(text_, "No repair frees them all. " + capital(compiled_.repair->reason) + ".");
    }
    other_start();
    note_by_note();
    return std::move(text_);
  }

 private:
  [[nodiscard]] bool turns() const { return compiled_.repair->first_stroke != idea_.first_stroke; }

  void start_with(bool capitalized) {
    const std::string words = "start with " + a_stroke(other(idea_.first_stroke));
    add(text_, capitalized ? capital(words) : words, {idea_.number, "first_stroke"});
    text_.back().value = toml_string(name(other(idea_.first_stroke)));
  }

  void slur(const std::string& rule, bool capitalized) {
    const auto mended = parse_rule(idea_.lick.rule.kind, rule);
    const std::string words = slur_words(idea_.lick.rule, mended ? *mended : idea_.lick.rule);
    add(text_, capitalized ? capital(words) : words, rule_path(idea_));
    text_.back().value = toml_string(rule);
  }

  void possible(const Repair& repair) {
    if (turns()) start_with(true);
    if (repair.slurs > 0) {
      if (turns()) add(text_, " and ");
      slur(repair.rule, !turns());
      const int group = idea_.lick.rule.group();
      if (group > 1) add(text_, " of every " + number_word(group));
      const std::size_t ties = std::min(repair.ties.size(), k_most_ties_told);
      for (std::size_t i = 0; i < ties; ++i) {
        add(text_, i == 0 ? " (or " : " or ");
        slur(repair.ties[i], false);
      }
      if (ties > 0) add(text_, ")");
    }
    add(text_, compiled_.proof.changes.size() == 1 ? ", and it is free" : ", and all are free");
  }

  /// The other first stroke alone, where it leaves fewer blocked than now.
  void other_start() {
    const Repair& repair = *compiled_.repair;
    const auto strokes = assign_strokes(compiled_.phrase.notes, idea_.picking, other(idea_.first_stroke));
    const int stay = count_blocked(changes(compiled_.phrase.notes, strokes, idea_.settings.clear_after));
    const bool better = stay < compiled_.proof.blocked() && !(repair.possible && turns());
    if (better) {
      add(text_, repair.possible ? "; or " : " ");
      start_with(!repair.possible);
      add(text_, ", and " + number_word(stay) + (stay == 1 ? " stays" : " stay") + " blocked.");
    } else if (repair.possible) {
      add(text_, ".");
    }
  }

  /// Fewer slurs than the rule's would sound, if each note could be slurred by itself.
  void note_by_note() {
    const Repair& repair = *compiled_.repair;
    const int rounds = compiled_.phrase.repeats * (idea_.lick.back == Back::none ? 1 : 2);
    if (!repair.possible || !repair.note_by_note || *repair.note_by_note >= repair.slurs * rounds) return;
    add(text_, " Slurred note by note instead of in every repetition, " + counted_word(*repair.note_by_note, "slur") +
                   (*repair.note_by_note == 1 ? " is enough." : " are enough."));
  }

  const Idea& idea_;
  const CompiledIdea& compiled_;
  Sentence text_;
};

// The student's.

/// Each string between the first and the last is come to once.
bool each_string_once(const std::vector<Visit>& visits) {
  std::vector<int> strings;
  for (const Visit& visit : visits) strings.push_back(visit.string);
  std::sort(strings.begin(), strings.end());
  return std::adjacent_find(strings.begin(), strings.end()) == strings.end();
}

/// "There are six picked notes on every string between the first and the last, an even number". Precondition: three
/// visits or more.
std::string even_words(const Proof& proof) {
  const std::vector<Visit> between = inner(proof.visits);
  const std::vector<int> counts = picked_counts(between);
  const bool equal = std::adjacent_find(counts.begin(), counts.end(), std::not_equal_to<>()) == counts.end();
  if (!each_string_once(between)) {
    return "From the first string change to the last you pick " +
           (equal ? counted_word(counts.front(), "note") + " each time before you move on, an even number"
                  : std::string("an even number of notes each time before you move on"));
  }
  const std::string where = counts.size() == 1 ? " on the string between the first and the last"
                                               : " on every string between the first and the last";
  if (equal) {
    return (counts.front() == 1 ? "There is " : "There are ") + counted_word(counts.front(), "picked note") + where +
           ", an even number";
  }
  return "The number of picked notes is even" + where;
}

std::string student_one_stroke(const Proof& proof) {
  const Stroke first = proof.changes.front().first;
  const bool single = proof.visits.size() < 3;
  std::string text =
      single ? "The new string starts with " + a_stroke(first) + "."
             : even_words(proof) + ", so each new string starts with the same stroke, " + a_stroke(first) + ".";
  if (proof.blocked() > 0) {
    text += " The pick is then caught between the strings";
    text += single ? "." : " each time it has to leave.";
  }
  return text + (single ? " If it starts with " : " If one starts with ") + a_stroke(other(first)) +
         ", a stroke went wrong on the string before: stop and count its strokes.";
}

/// Some changes are blocked and some are not.
std::string student_counter(const Proof& proof) {
  const Visit& odd = proof.visits[*proof.odd_visit];
  return (odd.picked == 1 ? "There is " : "There are ") + counted_word(odd.picked, "picked note") + " on string " +
         std::to_string(odd.string) +
         ", an odd number, so the next string starts with the other stroke, and sooner or later the pick is caught "
         "between the strings. Where it catches, or a string sounds that should not, you have found a blocked "
         "change.";
}

std::string student_computed(const Proof& proof) {
  const std::string text =
      proof.picking == Picking::grid
          ? "The hand swings down and up in time, also where nothing is picked. If it stops, or a note comes with "
            "another stroke than the tab has, a swing was left out."
          : "Where the pick is on its way to the next string already, it goes on through it with the same stroke; "
            "everywhere else the strokes alternate. If two strokes on one string go the same way, one went wrong.";
  return text +
         (proof.blocked() > 0 ? " Where the pick catches between two strings, you have found a blocked change." : "");
}

}  // namespace

std::string folded(const std::vector<int>& counts) {
  std::string text;
  if (counts.size() < k_fewest_folded) {
    for (const int count : counts) text += (text.empty() ? "" : " ") + std::to_string(count);
    return text;
  }
  for (auto run = counts.begin(); run != counts.end();) {
    const auto end = std::find_if(run, counts.end(), [&](int count) { return count != *run; });
    text += (text.empty() ? "" : ", ") + std::to_string(*run);
    if (end - run > 1) text += " x " + std::to_string(end - run);
    run = end;
  }
  return text;
}

std::string verdict(const Proof& proof) {
  const int all = changes_of(proof);
  const int blocked = proof.blocked();
  if (all == 0) return "All notes lie on one string, so there is no string change.";
  if (blocked == 0) {
    if (all == 1) return "The one string change is free.";
    return (all == 2 ? std::string("Both") : "All " + number_word(all)) + " string changes are free.";
  }
  std::string text;
  if (blocked < all) {
    text = capital(number_word(blocked)) + " of the " + counted_word(all, "string change") +
           (blocked == 1 ? " is blocked" : " are blocked");
  } else {
    text = all == 1   ? "The one string change is blocked"
           : all == 2 ? "Both string changes are blocked"
                      : "All " + number_word(all) + " string changes are blocked";
  }
  return text + (blocked == 1 ? ", " : ", the first ") + way(*first_blocked(proof.changes)) + ".";
}

Sentence teacher_proof(const Idea& idea, const CompiledIdea& compiled) {
  Sentence text;
  add(text, verdict(compiled.proof));
  const std::string why = reason(compiled.proof);
  if (!why.empty()) add(text, " " + why);
  add_sentence(text, Mender(idea, compiled).tell());
  return text;
}

std::string student_proof(const Proof& proof) {
  const std::string text = verdict(proof) + " ";
  if (proof.changes.empty()) return text + "If two strokes in a row go the same way, one went wrong.";
  if (proof.picking != Picking::alternate) return text + student_computed(proof);
  if (proof.clear == Clear::both) {
    return text +
           "The pick stands clear after both strokes, so it can leave a string at any time. If two strokes in "
           "a row go the same way, one went wrong.";
  }
  if (proof.clear == Clear::none) {
    return text +
           "The pick stands clear after neither stroke, so it has to be lifted over the string at every change. "
           "If two strokes in a row go the same way, one went wrong.";
  }
  return text + (proof.counter_example ? student_counter(proof) : student_one_stroke(proof));
}

}  // namespace fretloom
