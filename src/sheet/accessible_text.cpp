#include "sheet/accessible_text.h"

#include "base/text.h"
#include "sheet/headings.h"

namespace fretloom::sheet {

std::string said_note(const Meter& meter, const ScoreNote& note) {
  const Rational beat = beat_in_bar(meter, note.onset).value + Rational(1);
  const Rational part = beat - Rational(beat.floor());
  std::string text = "bar " + std::to_string(bar_of(meter, note.onset)) + " beat " + std::to_string(beat.floor());
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

std::string said_handout(const Handout& handout) {
  std::string text = handout.prose.title;
  if (!handout.prose.author.empty()) text += (text.empty() ? "By " : " by ") + handout.prose.author;
  return text + (text.empty() ? "" : ", ") + handout.key.said_name() + ". Notation over tab.";
}

std::string said_idea(const IdeaSheet& idea, const IdeaSentences& sentences) {
  const std::string called = "Idea " + std::to_string(idea.number);
  const std::string title = title_of(idea);
  std::string text = called + (title == called ? "" : ", " + title) + '.';
  if (!sentences.rule.empty()) text += ' ' + sentences.rule;
  return text;
}

std::string said_feel(const Score& score) {
  return notes_a_beat(score) + ": " + counted(score.notes.size(), "note") + '.';
}

}  // namespace fretloom::sheet
