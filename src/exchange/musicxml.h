#pragma once
// A lesson as MusicXML 4.0 (W3C Community Group Final Report, June 2021).

#include <string>

#include "base/result.h"
#include "score/handout.h"

namespace fretloom {

enum class MusicXmlSpeed { goal, slow };

struct MusicXmlOptions {
  MusicXmlSpeed speed = MusicXmlSpeed::goal;
};

/// An uncompressed score-partwise document, UTF-8. One part of two staves: 1 notation (voice 1; the instrument's
/// clef, an octave down, so that pitches stand as they sound), 2 tablature (voice 5). Ideas follow one another,
/// feel by feel, each from a new system with its name, its rule and its tempo as directions, and end with a
/// double bar. Key, time, clef, tuning and tempo stand where they change.
///
/// The part is named for its instrument. A lesson for guitar and bass is still one part, "Guitar and bass", with two
/// instruments in the order in which they first play; each note then names its own.
///
/// Staff 1 has strokes (down-bow, up-bow), fingers, accents, beams and slurs; staff 2 strings and frets from
/// the capo, without stems. hammer-on, pull-off and slide stand on both. staff-tuning line 1 is the bottom
/// line, the thickest string, at the nut; tuning + capo + fret is the pitch.
///
/// Measures count through the document; where an idea's own count differs it is the measure's text. Pick-up
/// measures are implicit: the document's first is number 0, any further one X1, X2 and so on. A chord symbol
/// stands wherever the vamp sets a chord, over full bars.
///
/// divisions is the least number a quarter note in which every value is whole. No date is written: the same
/// handout gives the same bytes. Characters that XML 1.0 cannot say become U+FFFD. A handout without ideas
/// gives one empty measure.
///
/// Errors, the idea named: its fault, those of write_rhythm; range = a pitch outside octaves 0 to 9 (the schema's),
/// or values whose common division is above 2^24.
[[nodiscard]] Result<std::string> musicxml_of(const Handout& handout, const MusicXmlOptions& options = {});

/// The compressed form (.mxl): a zip of "mimetype" (stored, first), META-INF/container.xml and
/// lesson.musicxml, all dated 1980-01-01, so that the same handout gives the same bytes with one zlib.
/// Errors: those of musicxml_of; io = the archive could not be built.
[[nodiscard]] Result<std::string> mxl_of(const Handout& handout, const MusicXmlOptions& options = {});

}  // namespace fretloom
