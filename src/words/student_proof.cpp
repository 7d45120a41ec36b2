#include "words/student_proof.h"

#include <algorithm>
#include <functional>

#include "words/english.h"
#include "words/proof_verdict.h"

namespace fretloom {

namespace {

/// Each string between the first and the last is come to once.
bool each_string_once(const std::vector<Visit>& visits) {
  std::vector<int> strings;
  for (const Visit& visit : visits) strings.push_back(visit.string);
  std::sort(strings.begin(), strings.end());
  return std::adjacent_find(strings.begin(), strings.end()) == strings.end();
}

/// The visits between the first and the last. Precondition: three or more.
std::vector<Visit> inner(const std::vector<Visit>& visits) { return {visits.begin() + 1, visits.end() - 1}; }

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
