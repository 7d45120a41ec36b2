#include "score/handout.h"

#include <algorithm>
#include <iterator>

#include "base/text.h"

namespace fretloom {

namespace {

constexpr int k_highest_octave = 20;  // either way of the staff: more is no music

Error range(std::string what) { return {ErrorKind::range, 0, std::move(what), ""}; }

std::optional<Error> fault_of_instrument(const IdeaSheet& idea) {
  const int strings = idea.instrument.strings();
  if (strings < 1) return range("the instrument has no strings");
  if (strings > k_max_strings)
    return range("the instrument has " + std::to_string(strings) + " strings; it can have 1 to " +
                 std::to_string(k_max_strings));
  if (idea.layout.size() != static_cast<std::size_t>(strings)) return range("the layout needs one row for each string");
  for (const LayoutRow& row : idea.layout) {
    if (row.frets.size() != row.degrees.size()) return range("a layout row needs one degree for each fret");
  }
  return std::nullopt;
}

std::optional<Error> fault_of_meter(const Meter& meter) {
  if (meter.groups.empty() || !parse_meter(meter.name())) return range("the meter cannot be written");
  return std::nullopt;
}

std::optional<Error> fault_of_vamp(const Vamp& vamp) {
  for (const VampChord& chord : vamp.chords) {
    if (chord.duration.value <= Rational(0)) return range("a chord of the vamp has no length");
  }
  if (!vamp.chords.empty() && vamp.bars < 1) return range("the vamp has no length");
  return std::nullopt;
}

std::optional<Error> fault_of_note(const ScoreNote& note, const Neck& neck) {
  if (!neck.has_string(note.string))
    return Error{ErrorKind::unreachable, 0,
                 "a note lies on string " + std::to_string(note.string) + "; the instrument has " +
                     std::to_string(neck.strings()),
                 ""};
  if (!neck.has_fret(note.fret))
    return Error{ErrorKind::unreachable, 0,
                 "a note lies on fret " + std::to_string(note.fret) + "; the neck has 0 to " +
                     std::to_string(neck.highest_fret()),
                 ""};
  const bool letter = note.pitch.pitch_class.letter >= 0 && note.pitch.pitch_class.letter <= 6;
  if (!letter || note.pitch.octave < -k_highest_octave || note.pitch.octave > k_highest_octave)
    return range("a note has no pitch that a staff can show");
  if (note.duration.value <= Rational(0)) return range("a note has no length");
  return std::nullopt;
}

}  // namespace

std::vector<ScoreNote> first_repetition(const std::vector<ScoreNote>& notes) {
  std::vector<ScoreNote> first;
  std::copy_if(notes.begin(), notes.end(), std::back_inserter(first),
               [](const ScoreNote& note) { return note.role == Role::rule && note.repeat == 1; });
  return first;
}

std::vector<Change> changes_of(const IdeaSheet& idea, const Score& score) {
  const auto body = std::count_if(score.notes.begin(), score.notes.end(),
                                  [](const ScoreNote& note) { return note.role == Role::rule; });
  std::vector<Change> played;
  std::copy_if(idea.proof.changes.begin(), idea.proof.changes.end(), std::back_inserter(played),
               [&](const Change& change) { return change.after_note < body; });
  if (score.ending) played.insert(played.end(), score.ending->changes.begin(), score.ending->changes.end());
  return played;
}

IdeaSheet with_feel(const IdeaSheet& idea, std::size_t feel) {
  IdeaSheet one = idea;
  one.feels = {idea.feels[feel]};
  return one;
}

namespace {

/// The rule's parts with one blank between them, however it was typed.
std::string spaced_rule(const Rule& rule) {
  std::vector<std::string> parts;
  for (const Word& word : words(rule.text)) parts.emplace_back(word.text);
  return join(parts, " ");
}

}  // namespace

std::string title_of(const IdeaSheet& idea) {
  if (!idea.name.empty()) return idea.name;
  const std::string rule = spaced_rule(idea.rule);
  return rule.empty() ? "Idea " + std::to_string(idea.number) : rule;
}

std::string heading_of(const IdeaSheet& idea) {
  const bool named = !idea.name.empty() || !spaced_rule(idea.rule).empty();
  return named ? std::to_string(idea.number) + ". " + title_of(idea) : title_of(idea);
}

std::vector<FeelRef> feels_of(const Handout& handout) {
  std::vector<FeelRef> feels;
  for (const IdeaSheet& idea : handout.ideas) {
    for (const Score& score : idea.feels) feels.push_back({&idea, &score});
  }
  return feels;
}

std::optional<Error> fault_of(const IdeaSheet& idea, const Score& score) {
  if (auto fault = fault_of_instrument(idea)) return fault;
  if (auto fault = fault_of_meter(idea.meter)) return fault;
  if (auto fault = fault_of_vamp(idea.vamp)) return fault;
  const ScoreNote* before = nullptr;
  for (const ScoreNote& note : score.notes) {
    if (auto fault = fault_of_note(note, idea.instrument.neck)) return fault;
    if (before != nullptr && note.onset < before->onset + before->duration)
      return range("two notes of one voice sound at once");
    before = &note;
  }
  return std::nullopt;
}

std::optional<Error> fault_of(const Handout& handout) {
  for (const FeelRef& feel : feels_of(handout)) {
    if (const auto fault = fault_of(*feel.idea, *feel.score)) return in_idea(*feel.idea, *fault);
  }
  return std::nullopt;
}

Error in_idea(const IdeaSheet& idea, Error error) {
  error.what = title_of(idea) + ": " + error.what;
  return error;
}

}  // namespace fretloom
