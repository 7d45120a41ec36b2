#pragma once
// What repeats in a phrase before any scale is known: strings, lengths, rests and slurs.

#include <cstddef>
#include <vector>

#include "insight/heard.h"
#include "score/rule.h"

namespace fretloom {

/// All of a rule's note but which note of the string it is, and the rest behind it.
struct CycleToken {
  int offset = 0;  ///< strings thinner than the first (cells only)
  int units = 1;
  int rest = 0;  ///< units of silence up to the next note
  Attack attack = Attack::pick;
  bool accent = false;
};

/// The way out of a phrase and its return: `out` notes there, as many back; without a return all notes are `out`.
struct Turn {
  Back back = Back::none;
  std::size_t out = 0;
  std::size_t differs = 0;  ///< notes of the return that are not their images there, strings alone where mirrored
};

/// A possible period of the phrase.
struct Cycle {
  RuleKind kind = RuleKind::cell;
  Turn turn;
  std::vector<CycleToken> tokens;
  int start_string = 1;    ///< cells only
  int strings = 0;         ///< the carry, toward thinner (cells only)
  int mirror = 0;          ///< sum of a string's number and its mirror image's (cells only)
  std::vector<char> fits;  ///< for each note 1 if its string, time and attack are the cycle's, else 0
  std::size_t unfit = 0;   ///< how many are not
  double bits = 0;         ///< of the rule, all but ordinals and alterations

  [[nodiscard]] std::size_t size() const { return tokens.size(); }
};

/// The ways in which the phrase may turn round; none first. Notes behind a return (its ending) are at most
/// k_most_ending_notes. A few wrong notes do not hide a return.
[[nodiscard]] std::vector<Turn> find_turns(const std::vector<HeardNote>& notes);
constexpr std::size_t k_most_ending_notes = 24;

/// The cells that the strings allow, fewest bits first: periods after which most notes go on alike, or which the
/// first two repetitions keep exactly. By majority over the repetitions; of equals what comes first.
[[nodiscard]] std::vector<Cycle> cell_cycles(const std::vector<HeardNote>& notes, const std::vector<Turn>& turns);

/// The rhythm of a sequence with `size` notes.
[[nodiscard]] Cycle sequence_cycle(const std::vector<HeardNote>& notes, const Turn& turn, std::size_t size);

/// True if `agreeing` of the pairs of notes a period apart are enough to take the period for one; `first` says
/// whether the first two repetitions agree throughout.
[[nodiscard]] inline bool is_period(std::size_t agreeing, std::size_t pairs, bool first) {
  return first || agreeing * 20 >= pairs * 11;
}

}  // namespace fretloom
