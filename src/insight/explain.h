#pragma once
// The rule behind a phrase.
//
//   GivenPhrase -> hear -> (places) -> search -> answers, the shortest description first
//
// Example: `6: 3 5 6 3 | 5: 7 5 3 5 | 4: 3 5 7 3 | 3: 7 7 3 5 | 2: 5 6 8 5 | 1: 8 6 5 6` is the cell
// "1 2 3 1 + 3 2 1 2" in G dorian, three notes a string from fret 3, carried by two strings: 23 of 24 notes follow
// it, and note 14 is fret 7 on string 3 where fret 5 was expected.

#include <optional>
#include <string>
#include <vector>

#include "insight/heard.h"
#include "insight/home.h"
#include "insight/shortlist.h"
#include "lick/expand.h"

namespace fretloom {

/// How a note differs from what the rule expects.
enum class MisfitKind { place, attack, time, accent };
/// "place", "attack", "time", "accent".
[[nodiscard]] std::string_view name(MisfitKind kind);

struct Misfit {
  MisfitKind kind = MisfitKind::place;
  int note = 1;  ///< in the phrase, from 1
  StringFret found;
  StringFret expected;
  Attack found_attack = Attack::pick;
  Attack expected_attack = Attack::pick;
  int repeat = 1;          ///< of the rule, as in a lesson's edits
  int note_of_repeat = 1;  ///< from 1

  friend bool operator==(const Misfit&, const Misfit&) = default;
};

/// One cause of many wrong notes: those on `string` and thinner ones are `frets` too low (negative: too high), because
/// the step of the tuning between `string` and the next thicker one is not like the others.
struct MissedStep {
  int string = 2;
  int frets = 1;
  int notes = 0;  ///< how many

  friend bool operator==(const MissedStep&, const MissedStep&) = default;
};

/// A rule that tells the phrase.
struct Answer {
  Key key;
  std::vector<Key> same_notes;  ///< other keys with the same notes, likelier ones first
  Neck neck;
  LayoutRule layout;
  Lick lick;
  int repeats = 1;               ///< on the way out; the last may be cut in the phrase
  std::vector<LickNote> notes;   ///< what the lick expands to, whole repetitions
  std::vector<HeardNote> heard;  ///< the phrase, with the places that this answer gives it
  std::optional<int> notes_per_beat;
  Rational start_beat;
  std::optional<Meter> meter;
  std::string name;         ///< of the phrase in its file; may be empty
  std::size_t ruled = 0;    ///< notes of the phrase before its ending
  std::size_t outside = 0;  ///< of these, how many lie outside the key's scale
  std::size_t missing = 0;  ///< notes by which the last repetition is cut
  std::vector<Misfit> misfits;
  std::optional<MissedStep> missed_step;
  bool places_given = true;  ///< the file named strings and frets
  double bits = 0;
  double plain_bits = 0;  ///< of the phrase told note by note
  bool tie = false;       ///< another answer is as short

  /// Notes before the ending that are as the rule has them.
  [[nodiscard]] std::size_t follows() const;
  [[nodiscard]] Tells tells() const;
};

/// Why there is no answer.
enum class NoAnswer { too_few, no_rule };

struct Explanation {
  std::vector<Answer> answers;  ///< fewest bits first, at most k_most_answers
  std::optional<NoAnswer> why_not;
};

constexpr std::size_t k_most_answers = 5;
/// With fewer notes nothing can repeat.
constexpr std::size_t k_least_notes = 4;

/// Explains one phrase. `otherwise`: the tuning where the phrase names none. Errors: those of hear.
[[nodiscard]] Result<Explanation> explain(const GivenPhrase& given, const std::optional<Tuning>& otherwise = {});

/// Explains a phrase for a lesson that is open: on its neck where the phrase names no other, and rather in its key and
/// on its layout than on others.
[[nodiscard]] Result<Explanation> explain(const GivenPhrase& given, const Home& home);

}  // namespace fretloom
