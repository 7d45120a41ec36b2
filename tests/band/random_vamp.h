#pragma once
// Vamps at random, of every chord, rhythm and meter.

#include <rapidcheck.h>

#include <string>
#include <vector>

#include "band/play_vamp.h"

namespace fretloom {

/// An idea with a vamp, a rhythm and, mostly, a lick of a few notes; what to play it with.
struct RandomVamp {
  IdeaSheet idea;
  BandOptions options;
  std::string text;  ///< for messages
};

inline IdeaSheet vamp_idea(const std::string& rhythm, const std::string& meter, const std::string& chords,
                           const std::string& key = "E dorian") {
  IdeaSheet idea;
  idea.key = parse_key(key).value();
  idea.meter = parse_meter(meter).value();
  idea.vamp = parse_vamp(chords, idea.meter).value();
  idea.vamp.rhythm = *find_rhythm(rhythm);
  idea.vamp.swing = Rational(idea.vamp.rhythm.swing);
  return idea;
}

inline void add_lick(IdeaSheet& idea, int low, int high) {
  Score score;
  for (const int midi : {low, high}) {
    ScoreNote note;
    note.onset = Beats(Rational(static_cast<std::int64_t>(score.notes.size())));
    note.duration = Beats(Rational(1));
    note.pitch = spell_sharp(midi);
    score.notes.push_back(note);
  }
  idea.feels.push_back(score);
}

inline RandomVamp any_vamp() {
  const auto pick = [](int low, int high) { return *rc::gen::inRange(low, high + 1); };
  const auto one_of = [&](const auto& list) {
    return std::string(list[static_cast<std::size_t>(pick(0, static_cast<int>(std::size(list)) - 1))]);
  };
  const std::vector<std::string> meters = {"4/4",     "3/4",   "2/4",     "5/4",    "7/4",   "6/4",   "2/2",
                                           "3/2",     "6/8",   "9/8",     "12/8",   "5/8",   "7/8",   "3/8",
                                           "8/8",     "11/8",  "1/16",    "3/16",   "7/16",  "12/16", "2+2+3/8",
                                           "3+3+2/8", "3+2/4", "1+1+1/8", "4+3/16", "32/16", "1/4",   "13/4"};
  const std::vector<std::string> roots = {"C",  "C#", "Db", "D", "Eb", "E", "F",  "F#",
                                          "Gb", "G",  "Ab", "A", "Bb", "B", "Cb", "E#"};
  RandomVamp random;
  const std::string meter = one_of(meters);
  const Meter parsed = parse_meter(meter).value();
  std::string chords;
  const int bars = pick(1, 5);
  for (int bar = 0; bar < bars; ++bar) {
    if (bar > 0) chords += " | ";
    const int count = pick(1, std::min(3, parsed.beats_per_bar()));
    for (int i = 0; i < count; ++i) {
      chords += (i > 0 ? " " : "") + one_of(roots) + one_of(chord_qualities());
      if (pick(0, 5) == 0) chords += "/" + one_of(roots);
    }
  }
  std::vector<std::string> rhythms;
  for (const VampRhythm& row : vamp_rhythms()) rhythms.emplace_back(row.name);
  const std::string rhythm = one_of(rhythms);
  const std::string key =
      one_of(roots) + " " +
      std::string(modes()[static_cast<std::size_t>(pick(0, static_cast<int>(modes().size()) - 1))].name);
  random.idea = vamp_idea(rhythm, meter, chords, key);
  if (pick(0, 3) == 0) random.idea.vamp.swing = Rational(pick(2, 8), 2);
  random.options.bpm = pick(0, 3) == 0 ? Rational(pick(10, 600)) : Rational(pick(60, 200));
  random.options.intensity = static_cast<Intensity>(pick(0, 2));
  random.options.seed = static_cast<std::uint32_t>(pick(0, 1000));
  random.options.turns = pick(0, 3) == 0 ? pick(1, 4) : 0;
  random.options.lick_register = pick(0, 4) == 0 ? LickRegister::may_share : LickRegister::keep_clear;
  random.options.drone = pick(0, 3) == 0 ? DroneUse::held : DroneUse::none;
  std::string lick = "no lick";
  if (pick(0, 3) > 0) {
    const int low = pick(23, 80);
    const int high = pick(low, std::min(low + 36, 90));
    add_lick(random.idea, low, high);
    lick = "lick " + std::to_string(low) + " to " + std::to_string(high);
  }
  random.text = rhythm + ", " + meter + ", " + chords + ", " + key + ", " + random.options.bpm.to_string() +
                " bpm, swing " + random.idea.vamp.swing.to_string() + ", " +
                std::string(name(random.options.intensity)) + ", seed " + std::to_string(random.options.seed) +
                ", turns " + std::to_string(random.options.turns) + ", " + lick;
  return random;
}

}  // namespace fretloom
