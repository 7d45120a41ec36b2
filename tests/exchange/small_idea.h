#pragma once
// Small ideas by hand, for tests that want to know every note.

#include <string>
#include <vector>

#include "score/handout.h"

namespace fretloom {

/// An idea in E dorian, standard tuning, 4/4 over Em7, at one feel of four a beat without notes.
inline IdeaSheet small_idea(const std::vector<std::string>& tuning = {"E2", "A2", "D3", "G3", "B3", "E4"}) {
  IdeaSheet idea;
  idea.name = "Small";
  idea.key = parse_key("E dorian").value();
  idea.instrument.neck.tuning = parse_tuning(tuning).value();
  idea.layout.resize(tuning.size());
  idea.vamp = parse_vamp("Em7", idea.meter).value();
  idea.feels.emplace_back();
  return idea;
}

/// The idea's only feel.
inline Score& feel_of(IdeaSheet& idea) { return idea.feels.front(); }

inline void set_meter(IdeaSheet& idea, const std::string& meter, const std::string& vamp) {
  idea.meter = parse_meter(meter).value();
  idea.vamp = parse_vamp(vamp, idea.meter).value();
}

/// Adds a note behind the last one (or a rest of `rest` units behind it). `token` is attack, fret and
/// accent: "12", "p14", "7!". Strokes alternate over picked notes.
inline ScoreNote& add_note(IdeaSheet& idea, int string, const std::string& token, int units = 1, int rest = 0) {
  Score& score = feel_of(idea);
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
  note.pitch = spell_sharp(idea.instrument.neck.open_midi(string) + note.fret);
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

/// A handout of ideas, numbered from 1.
inline Handout small_handout(std::vector<IdeaSheet> ideas) {
  Handout handout;
  handout.prose.title = "Small";
  int number = 0;
  for (IdeaSheet& idea : ideas) idea.number = ++number;
  handout.ideas = std::move(ideas);
  return handout;
}

}  // namespace fretloom
