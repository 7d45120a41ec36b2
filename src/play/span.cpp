#include "play/span.h"

#include <string>

namespace fretloom {

namespace {

/// The stroke of a note, or of the picked note that it hangs on.
Stroke stroke_at(const Score& score, std::size_t note) {
  for (std::size_t i = note + 1; i-- > 0;) {
    if (score.notes[i].stroke) return *score.notes[i].stroke;
  }
  return Stroke::down;
}

}  // namespace

Result<Score> span_of(const Score& score, const Meter& meter, int first, int last) {
  const auto count = static_cast<int>(score.notes.size());
  if (first < 0 || last < first || last >= count)
    return Error{ErrorKind::range, 0, "the notes must be two of 0 to " + std::to_string(count - 1) + ", in order", ""};
  Score span = score;
  span.ending.reset();
  span.notes.assign(score.notes.begin() + first, score.notes.begin() + last + 1);
  const Rational bar(meter.beats_per_bar());
  const Rational shift = Rational((span.notes.front().onset.value / bar).floor()) * bar;
  for (ScoreNote& note : span.notes) note.onset = Beats(note.onset.value - shift);
  ScoreNote& opening = span.notes.front();
  opening.stroke = stroke_at(score, static_cast<std::size_t>(first));
  opening.attack = Attack::pick;
  span.start = opening.onset;
  span.end = Beats(span.notes.back().onset.value + span.notes.back().duration.value);
  return span;
}

}  // namespace fretloom
