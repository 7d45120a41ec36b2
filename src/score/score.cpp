#include "score/score.h"

namespace fretloom {

const ScoreNote* landing_of(const Score& score) {
  const bool lands = !score.notes.empty() && score.notes.back().role == Role::landing;
  return lands ? &score.notes.back() : nullptr;
}

std::string to_text(const Score& score) {
  std::string text =
      std::to_string(score.notes_per_beat) + " a beat" + (score.ratio ? " " + score.ratio->name() : "") + "\n";
  for (const ScoreNote& note : score.notes) {
    text += note.onset.value.to_string() + " +" + note.duration.value.to_string() + " " + std::to_string(note.string) +
            ":" + std::to_string(note.fret) + " " + note.pitch.name() + " " + note.degree.name() + " " +
            (note.stroke ? std::string(1, letter(*note.stroke)) : std::string("-")) + " " +
            std::string(name(note.attack)) + (note.accent ? " !" : "") +
            (note.finger ? " f" + std::to_string(*note.finger) : "") + "\n";
  }
  return text;
}

}  // namespace fretloom
