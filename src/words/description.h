#pragma once
// The words that go out with a lesson: description, script, e-mail, cautions. All are made from the
// handout, so that they say what the tab says.
//
// Every text is plain UTF-8, ends in one line break and is the same for the same input. Names and prose of
// the lesson are put on one line first (see plain_line), so that a title can neither break a line nor start
// a header. A fact that is missing is left out with its whole sentence; missing_facts lists it.

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/diagnostics.h"
#include "score/score.h"

namespace fretloom {

/// What a player should mind, with where it comes from.
struct Caution {
  std::string_view text;
  std::string_view source;
};

/// Overuse, then hearing: in the order they are printed.
[[nodiscard]] std::span<const Caution> cautions();

/// A lesson's name or prose on one line (see one_line). Text with right-to-left letters is closed in U+2068 and
/// U+2069 (Unicode Standard Annex 9, isolates), so that numbers behind it stay where they are.
[[nodiscard]] std::string plain_line(std::string_view text);

/// One warning for each fact that the texts would have used: missing-title, missing-author, missing-intro,
/// missing-licence, missing-links, missing-ideas; for an idea missing-name and missing-chords; a note for
/// missing-note. `where` is the key in the lesson file ("author"; "idea[2].name", counting the ideas of
/// the handout, which leaves out ideas in error).
[[nodiscard]] std::vector<Finding> missing_facts(const Handout& handout);

/// For the page where the lesson is published: title, intro, key and chords, what each idea is, cautions,
/// links and licence. One paragraph a line, since pages wrap by themselves.
[[nodiscard]] std::string description_text(const Handout& handout);

/// An outline to speak from: for each idea what to say and what to show, line by line, wrapped at 80.
[[nodiscard]] std::string script_text(const Handout& handout);

/// "Subject: ..." on the first line, whole; an empty line; the body, no line wider than 72 columns but for
/// single words (addresses) that are. `enclosed` lists what goes with it: "the handout to print
/// (handout.pdf)"; empty ones are dropped.
[[nodiscard]] std::string email_text(const Handout& handout, const std::vector<std::string>& enclosed = {});

// The pieces that description and script share, each a sentence or nothing.

/// "Em7 | A7": the vamp with bar lines, empty where there is none.
[[nodiscard]] std::string vamp_text(const Score& score);
/// "60", "92.5".
[[nodiscard]] std::string tempo_text(const Rational& bpm);
/// "3, 4 and 6".
[[nodiscard]] std::string listed(const std::vector<std::string>& items);
/// "6: 12 15 14 15 | 5: 14 12": notes by visits, h, p or s before a slurred fret.
[[nodiscard]] std::string visits_text(std::span<const ScoreNote> notes);
/// "D U D U | D U", by the same visits, a slurred note as "-".
[[nodiscard]] std::string strokes_text(std::span<const ScoreNote> notes);
/// "lands in bar 3 on beat 1, on string 1 at fret 19: B, the 5th of Em7, with a downstroke". Empty
/// where the score has no landing note.
[[nodiscard]] std::string landing_text(const Score& score);

}  // namespace fretloom
