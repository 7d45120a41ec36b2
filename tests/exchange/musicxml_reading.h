#pragma once
// A second, plain reading of MusicXML for tests: what a document says, with times counted from its own
// durations. Knows nothing of the writer.

#include <optional>
#include <pugixml.hpp>
#include <string>
#include <vector>

#include "base/rational.h"

namespace fretloom::xml_reading {

/// A sounded note, ties joined; times in quarter notes from the document's start.
struct Note {
  int staff = 0;
  Rational onset;
  Rational duration;
  std::string pitch;  ///< "C#4", as spelled
  int midi = 0;
  int string = 0;  ///< 0 = not said
  int fret = -1;
  std::string marks;  ///< strokes, fingers and so on of its first head, in document order: "down-bow fingering=1"
};

struct Measure {
  std::string number;
  std::string text;
  bool implicit = false;
  Rational begin;
  Rational length;       ///< of staff 1
  Rational full;         ///< by its time signature
  std::string bar_line;  ///< bar-style at its end
  // What is in force in it:
  std::string beats;
  int beat_type = 4;
  int fifths = 0;
  std::string mode;
  std::string clef;       ///< "G2-1"
  std::vector<int> open;  ///< MIDI by staff line from the bottom, capo left out
  int capo = 0;
  double tempo = 0;  ///< quarter notes a minute
};

struct Harmony {
  Rational onset;
  std::string symbol;  ///< root, kind's text and bass: "F#m7b5/E"
};

struct Document {
  std::string title;
  std::vector<Measure> measures;
  std::vector<Note> notes;  ///< by staff, then time
  std::vector<Harmony> harmonies;
  std::vector<std::string> words;   ///< directions in order; rehearsals as "[1]"
  std::vector<std::string> faults;  ///< what contradicts itself, in words; empty for a sound document
};

Document read(const std::string& text);

}  // namespace fretloom::xml_reading
