#pragma once
// Small scores by hand, for tests that want to know every note.

#include <string>
#include <vector>

#include "score/vamp.h"

namespace fretloom {

/// A score in standard tuning, 4/4, four a beat, over Em7, without notes.
inline Score small_score(const std::vector<std::string>& tuning = {"E2", "A2", "D3", "G3", "B3", "E4"}) {
  Score score;
  score.title = "Small";
  score.key = "E dorian";
  score.fifths = 2;
  for (const std::string& open : tuning) score.strings.push_back({parse_pitch(open).value(), {}, {}});
  score.vamp = parse_vamp("Em7", score.meter).value().chords;
  score.vamp_length = Beats(Rational(4));
  return score;
}

inline void set_meter(Score& score, const std::string& meter, const std::string& vamp) {
  score.meter = parse_meter(meter).value();
  const Vamp parsed = parse_vamp(vamp, score.meter).value();
  score.vamp = parsed.chords;
  score.vamp_length = Beats(Rational(static_cast<std::int64_t>(parsed.bars) * score.meter.beats_per_bar()));
}

/// Adds a note behind the last one (or a rest of `rest` units behind it). `token` is attack, fret and
/// accent: "12", "p14", "7!". Strokes alternate over picked notes.
inline ScoreNote& add_note(Score& score, int string, const std::string& token, int units = 1, int rest = 0) {
  ScoreNote note;
  std::string fret = token;
  if (fret.back() == '!') {
    note.accent = true;
    fret.pop_back();
  }
  if (fret.front() == 'h') note.attack = Attack::hammer;
  if (fret.front() == 'p') note.attack = Attack::pull;
  if (fret.front() == 's') note.attack = Attack::slide;
  if (note.attack != Attack::pick) fret.erase(0, 1);
  note.string = string;
  note.fret = std::stoi(fret);
  const std::size_t index = score.strings.size() - static_cast<std::size_t>(string);
  note.pitch = spell_sharp(score.strings[index].open.midi() + score.capo + note.fret);
  const Rational unit(1, score.notes_per_beat);
  note.onset = (score.notes.empty() ? score.start : score.notes.back().onset + score.notes.back().duration) +
               Beats(Rational(rest) * unit);
  note.duration = Beats(Rational(units) * unit);
  std::size_t picked = 0;
  for (const ScoreNote& before : score.notes) picked += before.stroke ? 1 : 0;
  if (note.attack == Attack::pick) note.stroke = picked % 2 == 0 ? Stroke::down : Stroke::up;
  score.end = note.onset + note.duration;
  score.notes.push_back(note);
  return score.notes.back();
}

}  // namespace fretloom
