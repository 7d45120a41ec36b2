#include "score/handout.h"

namespace fretloom {

namespace {

constexpr int k_highest_octave = 20;  // either way of the staff: more is no music

Error range(std::string what) { return {ErrorKind::range, 0, std::move(what), ""}; }

std::optional<Error> fault_of_instrument(const IdeaSheet& idea) {
  const int strings = idea.instrument.strings();
  if (strings < 1) return range("the instrument has no strings");
  if (strings > k_max_strings)
    return range("the instrument has " + std::to_string(strings) + " strings; legal are 1 to " +
                 std::to_string(k_max_strings));
  if (idea.layout.size() != static_cast<std::size_t>(strings)) return range("the layout has not one row a string");
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

IdeaSheet with_feel(const IdeaSheet& idea, std::size_t feel) {
  IdeaSheet one = idea;
  one.feels = {idea.feels[feel]};
  return one;
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

}  // namespace fretloom
