#include "words/note_lists.h"

namespace fretloom {

namespace {

/// What stands before a slurred note's fret, as in the text tab.
std::string_view slur_sign(Attack attack) {
  switch (attack) {
    case Attack::hammer: return "h";
    case Attack::pull: return "p";
    case Attack::slide: return "s";
    case Attack::pick: break;
  }
  return "";
}

}  // namespace

std::string frets_text(std::span<const ScoreNote> notes) {
  std::string text;
  int string = 0;
  for (const ScoreNote& note : notes) {
    if (note.string != string) text += (text.empty() ? "" : " | ") + std::to_string(note.string) + ":";
    string = note.string;
    text += " " + std::string(slur_sign(note.attack)) + std::to_string(note.fret);
  }
  return text;
}

std::string strokes_text(std::span<const ScoreNote> notes) {
  std::string text;
  int string = 0;
  for (const ScoreNote& note : notes) {
    if (!text.empty()) text += note.string != string ? " | " : " ";
    string = note.string;
    text += note.stroke ? letter(*note.stroke) : '-';
  }
  return text;
}

}  // namespace fretloom
