#pragma once
// Our endings in the oracle's form, so that both readings are printed by the same words.

#include <optional>
#include <string>
#include <vector>

#include "hand/ending.h"
#include "oracle/oracle.h"

namespace fretloom {

inline oracle::Chord plain(const Chord& chord) {
  oracle::Chord out;
  const auto of = [&](const Degree& d) {
    return static_cast<int>(floor_mod(chord.root.semitones() + d.semitones(), 12));
  };
  out.root = static_cast<int>(floor_mod(chord.root.semitones(), 12));
  for (const Degree& tone : chord.tones) {
    if (tone.number == 2) out.second = of(tone);
    if (tone.number == 3) out.third = of(tone);
    if (tone.number == 4) out.fourth = of(tone);
    if (tone.number == 5) out.fifth = of(tone);
    if (tone == Degree{6, 0}) out.sixth = of(tone);
    if (tone.number == 7) out.seventh = of(tone);
  }
  return out;
}

inline oracle::Vamp plain(const Vamp& vamp, const Meter& meter) {
  oracle::Vamp bars(static_cast<std::size_t>(vamp.bars));
  for (const VampChord& chord : vamp.chords)
    bars[static_cast<std::size_t>(bar_of(meter, chord.onset)) - 1].push_back(plain(chord.chord));
  return bars;
}

/// One line for each option, everything in it that both know.
inline std::string line(const oracle::Ending& e, const std::vector<oracle::Note>& landing) {
  std::string text = e.kind + " at " + std::to_string(e.slot) + " from " + std::to_string(e.start_slot) + ", body " +
                     std::to_string(e.body.size()) + " ends after " +
                     std::to_string(e.body.back().unit + e.body.back().units) + ", changed " +
                     std::to_string(e.units_changed) + ", fill " + oracle::list_notes(e.fill) + " ";
  for (const auto& note : e.fill) text += note.stroke + std::to_string(note.ordinal);
  text += ", landing " + oracle::list_notes(landing) + " " + e.landing.pitch + " " + e.landing.degree + " " +
          std::to_string(e.landing.ordinal) + " unit " + std::to_string(e.landing.unit) + " " + e.landing.stroke +
          ", steps " + std::to_string(e.steps) + (e.same_direction ? " on" : " back") + ", changes";
  for (const auto& c : e.changes) {
    text += " " + std::to_string(c.after_note) + ":" + std::to_string(c.from) + ">" + std::to_string(c.to) + c.last +
            c.first + c.type + (c.free ? "" : "!");
  }
  return text + ", blocked " + std::to_string(e.blocked) + "\n";
}

inline oracle::Note plain(const Ground& ground, const LickNote& note, const std::optional<Stroke>& stroke) {
  oracle::Note out;
  out.string = note.string;
  out.fret = note.fret;
  // On a string without layout notes the oracle counts no ordinal.
  out.ordinal = ground.layout.strings[ground.neck.index(note.string)].count > 0 ? note.ordinal : 0;
  out.midi = note.midi;
  out.pitch = note.pitch.name();
  out.degree = note.degree.name();
  out.unit = note.unit;
  out.units = note.units;
  out.stroke = stroke ? letter(*stroke) : '\0';
  return out;
}

/// Ours in the oracle's form, so that both are printed by the same words.
inline oracle::Ending plain(const Ground& ground, const EndingOption& option) {
  oracle::Ending out;
  const Ending& ending = option.ending;
  out.kind = std::string(name(ending.kind));
  out.slot = ending.slot;
  out.start_slot = ending.start_slot;
  out.units_changed = ending.units_changed;
  out.steps = ending.steps;
  out.same_direction = ending.same_direction;
  for (std::size_t i = 0; i < option.body.size(); ++i)
    out.body.push_back(plain(ground, option.body[i], option.strokes[i]));
  for (std::size_t i = 0; i < option.fill.size(); ++i)
    out.fill.push_back(plain(ground, option.fill[i], option.strokes[option.body.size() + i]));
  out.landing = plain(ground, option.landing, option.strokes.back());
  for (const Change& c : ending.changes)
    out.changes.push_back(
        {c.after_note, c.from, c.to, letter(c.last), letter(c.first), std::string(name(c.type)), c.free});
  out.blocked = ending.blocked();
  return out;
}

inline std::string listed(const std::vector<oracle::Ending>& endings) {
  std::string text;
  for (const oracle::Ending& ending : endings) text += line(ending, {ending.landing});
  return text;
}

inline std::string listed(const Ground& ground, const std::vector<EndingOption>& options) {
  std::vector<oracle::Ending> all;
  for (const EndingOption& option : options) all.push_back(plain(ground, option));
  return listed(all);
}

}  // namespace fretloom
