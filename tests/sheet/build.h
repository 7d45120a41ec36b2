#pragma once
// Builds Scores from a few lines of text, for tests and benchmarks of the sheet.
//
//   title, note, rule, words, proof TEXT | key E dorian | meter 6/8 | tuning E2 A2 .. (thick to thin)
//   feel K (notes a beat) | start BEATS | vamp Em7 | A7 | capo N | swing 2:1 | group N | frets N
//   notes TOKEN...   6:12 = string 6 fret 12; before it h p s = hammer-on, pull-off, slide; after it
//                    ! accent, xN lasts N units, fN finger; r or rxN rest; "end" = the ending starts here
// Strokes alternate over picked notes. Unknown lines are an error.

#include <optional>
#include <string>
#include <string_view>

#include "score/score.h"
#include "sheet/music_font.h"

namespace fretloom::sheet::test {

/// The Score, or nothing with the reason in `why`.
std::optional<Score> build_score(std::string_view text, std::string& why);
/// The same for text that the test itself wrote: a mistake ends the test program.
Score score_of(std::string_view text);

/// A handout with a title, an author and one idea per text, each with the feels that its own "feels"
/// line lists (default: its "feel").
Handout handout_of(const std::vector<std::string>& ideas);

/// Five ideas with two feels each, invented here: the benchmark's and the page tests' lesson.
Handout demo_handout();

/// The font of the npm package; ends the test program where `npm install` has not run.
const MusicFont& music_font();

/// The first bytes of a PNG of that size in pixels: all that make_logo reads.
std::string png_head(unsigned width, unsigned height);

}  // namespace fretloom::sheet::test
