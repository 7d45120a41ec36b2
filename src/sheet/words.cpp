#include "sheet/words.h"

#include "base/text.h"

namespace fretloom::sheet {

std::string note_words(const Score& score, const ScoreNote& note) {
  const Rational beat = beat_in_bar(score.meter, note.onset).value + Rational(1);
  const Rational part = beat - Rational(beat.floor());
  std::string text = "bar " + std::to_string(bar_of(score.meter, note.onset)) + " beat " + std::to_string(beat.floor());
  if (part != Rational(0)) text += '+' + part.to_string();
  text += ": " + note.pitch.name() + ", string " + std::to_string(note.string) + " fret " + std::to_string(note.fret);
  if (note.stroke) text += *note.stroke == Stroke::down ? ", downstroke" : ", upstroke";
  if (note.attack == Attack::hammer) text += ", hammer-on";
  if (note.attack == Attack::pull) text += ", pull-off";
  if (note.attack == Attack::slide) text += ", slide";
  if (note.finger) text += ", finger " + std::to_string(*note.finger);
  if (note.accent) text += ", accented";
  return text;
}

std::string handout_words(const Handout& handout) {
  std::string text = handout.title;
  if (!handout.author.empty()) text += " by " + handout.author;
  if (!handout.key.empty()) text += ", " + handout.key;
  text += ". Notation over tab.";
  int number = 0;
  for (const ScoreSet& idea : handout.ideas) {
    ++number;
    if (idea.feels.empty()) continue;
    const Score& first = idea.feels.front();
    text += " Idea " + std::to_string(number) + ", " + first.title + ".";
    if (!first.rule_in_words.empty()) text += " " + first.rule_in_words;
    for (const Score& feel : idea.feels) {
      text += ' ' + counted(static_cast<std::size_t>(std::max(0, feel.notes_per_beat)), "note") +
              " a beat: " + counted(feel.notes.size(), "note") + ".";
    }
  }
  return text;
}

}  // namespace fretloom::sheet
