#pragma once
// Builds IdeaSheets from a few lines of text, for tests and benchmarks of the sheet.
//
//   name, note, rule TEXT | key E dorian | meter 6/8 | tuning E2 A2 .. (thick to thin)
//   feels K.. (notes a beat) | start BEATS | vamp Em7 | A7 | capo N | swing 2:1 | group N | frets N
//   blocked N.. (the changes behind these notes, from 1)
//   notes TOKEN...   6:12 = string 6 fret 12; before it h p s = hammer-on, pull-off, slide; after it
//                    ! accent, xN lasts N units, fN finger; r or rxN rest; "end" = the ending starts here
// Strokes alternate over picked notes. Unknown lines are an error.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "score/handout.h"
#include "score/sentences.h"
#include "sheet/music_font.h"
#include "sheet/scene.h"

namespace fretloom::sheet::test {

/// The idea at each of its feels (default: 4 notes a beat), or nothing with the reason in `why`.
std::optional<IdeaSheet> build_idea(std::string_view text, std::string& why);
/// The same for text that the test itself wrote: a mistake ends the test program.
IdeaSheet idea_of(std::string_view text);

/// A handout with a title, an author and one idea per text.
Handout handout_of(const std::vector<std::string>& ideas);

/// Five ideas with two feels each, invented here: the benchmark's and the page tests' lesson.
Handout demo_handout();
/// What is said about it, of usual length; some of it missing.
LessonSentences demo_sentences();

/// The font of the npm package; ends the test program where `npm install` has not run.
const MusicFont& music_font();
/// The demo handout with its sentences, engraved once.
const Scene& demo_scene();
/// Writes a file among the test's temporary ones and gives its path.
std::string saved(const std::string& name, const std::string& bytes);
/// What a command prints, its exit code in `code`.
std::string run(const std::string& command, int& code);

/// The first bytes of a PNG of that size in pixels: all that make_logo reads.
std::string png_head(unsigned width, unsigned height);

}  // namespace fretloom::sheet::test
