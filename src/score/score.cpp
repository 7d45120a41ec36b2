#include "score/score.h"

#include "base/rational.h"

namespace fretloom {

std::string_view name(Attack attack) {
  switch (attack) {
    case Attack::pick: return "pick";
    case Attack::hammer: return "hammer";
    case Attack::pull: return "pull";
    case Attack::slide: return "slide";
  }
  return "pick";
}

std::int64_t bar_of(const Meter& meter, const Beats& beat) {
  return (beat.value / Rational(meter.beats_per_bar())).floor() + 1;
}

Beats beat_in_bar(const Meter& meter, const Beats& beat) {
  return Beats(beat.value - Rational((bar_of(meter, beat) - 1) * meter.beats_per_bar()));
}

const ScoreChord* chord_at(const std::vector<ScoreChord>& vamp, const Beats& length, const Beats& beat) {
  if (vamp.empty() || length.value <= Rational(0)) return nullptr;
  const Rational place = beat.value - Rational((beat.value / length.value).floor()) * length.value;
  const ScoreChord* sounding = &vamp.front();
  for (const ScoreChord& chord : vamp) {
    if (chord.onset.value <= place) sounding = &chord;
  }
  return sounding;
}

const ScoreChord* chord_at(const Score& score, const Beats& beat) {
  return chord_at(score.vamp, score.vamp_length, beat);
}

std::string to_text(const Score& score) {
  std::string text = score.title + "\n" + score.key + " " + score.meter.name() + " " +
                     std::to_string(score.notes_per_beat) + " a beat" + (score.ratio ? " " + score.ratio->name() : "") +
                     "\n";
  for (const ScoreNote& note : score.notes) {
    text += note.onset.value.to_string() + " +" + note.duration.value.to_string() + " " + std::to_string(note.string) +
            ":" + std::to_string(note.fret) + " " + note.pitch.name() + " " + note.degree + " " +
            (note.stroke ? std::string(1, letter(*note.stroke)) : std::string("-")) + " " +
            std::string(name(note.attack)) + (note.accent ? " !" : "") +
            (note.finger ? " f" + std::to_string(*note.finger) : "") + "\n";
  }
  return text;
}

}  // namespace fretloom
