#pragma once
// A lesson as every output takes it: Handout > IdeaSheet > Score. What is true of the lesson, of an idea and of a
// feel is stored once, where it belongs. Plain data; `lesson` fills it in.

#include <optional>
#include <string>
#include <vector>

#include "score/instrument.h"
#include "score/proof.h"
#include "score/rule.h"
#include "score/score.h"
#include "score/vamp.h"
#include "theory/scale.h"

namespace fretloom {

/// What the teacher wrote for people. Names are one line each, and nothing holds control characters (see
/// one_line and plain_prose in base/text.h). Empty where the lesson says nothing.
struct Prose {
  std::string title;
  std::string author;
  std::string intro;
  std::vector<std::string> links;
  std::string licence;
  std::string copyright;
  std::string version;
  std::string logo;  ///< path as the lesson gives it
  std::string id;    ///< what a student's progress is kept under; author and title where the lesson gives none

  friend bool operator==(const Prose&, const Prose&) = default;
};

/// A string's notes in the layout.
struct LayoutRow {
  std::vector<int> frets;       ///< from the capo, ascending
  std::vector<Degree> degrees;  ///< one per fret

  friend bool operator==(const LayoutRow&, const LayoutRow&) = default;
};

/// An idea with all that holds at each of its feels.
struct IdeaSheet {
  int number = 1;    ///< in the lesson, from 1; an idea in error leaves a gap
  std::string name;  ///< one line, may be empty
  std::string note;  ///< the teacher's prose for it
  Key key;
  Instrument instrument;
  std::vector<LayoutRow> layout;  ///< thickest string first
  Meter meter;
  Rational slow_bpm{60};  ///< beats a minute
  Rational goal_bpm{120};
  Rule rule;
  int start_string = 6;   ///< of the first repetition
  int start_ordinal = 1;  ///< that a sequence's step 1 is at first, on the start string
  Carry carry;
  Back back = Back::none;
  int repeats = 1;  ///< on the way out
  Stroke first_stroke = Stroke::down;
  Vamp vamp;
  /// The rule's own notes, out and back and without any ending; their onsets and durations count units, from the
  /// idea's first.
  std::vector<ScoreNote> notes;
  Proof proof;                   ///< of these notes
  std::optional<Repair> repair;  ///< nothing if no change of the proof is blocked
  std::vector<Score> feels;      ///< in the order the lesson lists them, at least one
};

/// What is printed and published for a lesson.
struct Handout {
  Prose prose;
  Key key;  ///< the lesson's own
  std::vector<IdeaSheet> ideas;
};

/// The notes of the rule's first repetition: of an idea's own notes, or as a score plays them.
[[nodiscard]] std::vector<ScoreNote> first_repetition(const std::vector<ScoreNote>& notes);

/// The string changes of a feel as it is played: the rule's own as far as the feel has their notes, then those into
/// the ending. after_note counts the score's notes.
[[nodiscard]] std::vector<Change> changes_of(const IdeaSheet& idea, const Score& score);

/// The idea with one of its feels alone. Precondition: feel < idea.feels.size().
[[nodiscard]] IdeaSheet with_feel(const IdeaSheet& idea, std::size_t feel);

/// The idea's name; its rule where it has none, "1 3 2 3 + 2 1"; "Idea 2" without either.
[[nodiscard]] std::string title_of(const IdeaSheet& idea);
/// The title behind its number, "2. Six that folds back"; "Idea 2" without name and rule.
[[nodiscard]] std::string heading_of(const IdeaSheet& idea);

/// An idea at one feel, in a handout that outlives it.
struct FeelRef {
  const IdeaSheet* idea = nullptr;
  const Score* score = nullptr;

  [[nodiscard]] bool is_first() const { return score == &idea->feels.front(); }
};
/// All feels of a handout, idea by idea.
[[nodiscard]] std::vector<FeelRef> feels_of(const Handout& handout);

/// The chord of the looped vamp that sounds at a beat; a pick-up lies over the vamp's last bar.
/// nullptr if the vamp is empty.
[[nodiscard]] inline const VampChord* chord_at(const IdeaSheet& idea, const Beats& beat) {
  return chord_at(idea.vamp, idea.meter, beat);
}

/// The first reason why an idea at one feel cannot be drawn, played or written; nothing where it can. Every output
/// relies on it: 1 to k_max_strings strings, a layout row for each; notes on strings and frets that the neck has,
/// ascending, without overlap and each of some length; pitches a staff can show; a meter that can be written; vamp
/// chords of some length. (An output's own narrower range, as MusicXML's octaves, is its own error.)
[[nodiscard]] std::optional<Error> fault_of(const IdeaSheet& idea, const Score& score);
/// The first fault of any idea, the idea named.
[[nodiscard]] std::optional<Error> fault_of(const Handout& handout);
/// The error with the idea's title in front: "Six that folds back: a note has no length".
[[nodiscard]] Error in_idea(const IdeaSheet& idea, Error error);

}  // namespace fretloom
