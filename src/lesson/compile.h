#pragma once
// From a lesson to its notes, strokes, proofs and feels. The driver reads as the flow:
// expand -> strokes -> changes -> proof and repair -> feels.

#include <cassert>
#include <optional>
#include <string_view>
#include <vector>

#include "hand/ending.h"
#include "hand/fingers.h"
#include "hand/proof.h"
#include "hand/repair.h"
#include "lesson/lesson.h"
#include "lick/feel.h"

namespace fretloom {

/// An idea at one number of notes a beat.
struct Feel {
  int notes_per_beat = 4;
  std::optional<TupletRatio> ratio;
  std::vector<Beats> onsets;                     ///< one a note
  Realignment beat;                              ///< where the rule's units meet the beat,
  Realignment bar;                               ///< the bar
  Realignment vamp;                              ///< and the vamp again
  std::vector<EndingOption> endings;             ///< ranked, the first is taken; empty for none
  std::vector<std::vector<int>> ending_fingers;  ///< per ending: fingers of its fill and landing
};

/// Changes that are not free under one setting or another.
struct Blocked {
  int upstroke = 0;    ///< with the pick clear after upstrokes
  int downstroke = 0;  ///< with the pick clear after downstrokes
  int own = 0;         ///< with the idea's own setting
};

struct CompiledIdea {
  std::size_t index = 0;  ///< into lesson.ideas
  Phrase phrase;
  Strokes strokes;
  Proof proof;  ///< with the visits and changes of the phrase
  Blocked blocked;
  std::optional<Repair> repair;
  Fingering fingering;
  std::vector<Feel> feels;
};

struct CompiledLesson {
  std::optional<Lesson> lesson;     ///< nothing if the file is unreadable
  std::vector<CompiledIdea> ideas;  ///< ideas in error are left out
  std::vector<Finding> findings;

  [[nodiscard]] bool is_readable() const { return lesson.has_value(); }
  [[nodiscard]] bool has_errors() const;
  [[nodiscard]] const Idea& idea(const CompiledIdea& compiled) const {
    assert(lesson);  // or there would be no compiled idea
    return lesson->ideas[compiled.index];
  }
};

/// Reads and compiles a lesson's text. Findings of the reader come first, then each idea's: notes off
/// the neck (error), orphaned edits and pins, slurs across strings, blocked changes, avoid notes that are
/// accented or landed on (warnings).
[[nodiscard]] CompiledLesson compile_lesson(std::string_view text);
/// The same for a lesson that was read, `findings` what its reader had to say.
[[nodiscard]] CompiledLesson compile_lesson(Lesson lesson, std::vector<Finding> findings = {});

/// A feel's chosen ending put to its notes: what is played and printed.
struct PlayedPhrase {
  std::vector<LickNote> notes;  ///< body, fill and landing
  Strokes strokes;
  std::vector<int> fingers;
  std::size_t body = 0;  ///< how many of the notes are the rule's
  Beats start;           ///< of the first unit (a late start moves it)
};
[[nodiscard]] PlayedPhrase played(const Idea& idea, const CompiledIdea& compiled, const Feel& feel);

/// Everything that the outputs print, draw and sound. Names are put on one line, prose on plain lines. Empty where the
/// lesson is unreadable.
[[nodiscard]] Handout make_handout(const CompiledLesson& compiled);

}  // namespace fretloom
