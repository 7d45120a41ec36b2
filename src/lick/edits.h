#pragma once
// The teacher's edits of single notes, and what becomes of the slurs on them.

#include <vector>

#include "lick/mend.h"

namespace fretloom {

/// Where the edits fall.
struct Edited {
  std::vector<std::size_t> notes;  ///< for every edit the index of its note, of none where it is an orphan
  std::vector<bool> slurs;         ///< for every note whether a slur on it starts or ends on an edited note
};

/// Where the lick's edits fall in the phrase that the rule gives.
[[nodiscard]] Edited edited_notes(const Lick& lick, const Phrase& phrase);

/// True if the slur on note `i` (not the first) goes the way its sign says.
[[nodiscard]] bool is_good_slur(const std::vector<LickNote>& notes, std::size_t i);

/// Puts the edited notes on their frets and lets the slurs on them follow: by pitch; on one and the same fret the
/// second note is picked. Warnings: edit-orphan, edit-slur; with a repair only where there is a `trial`, which is
/// called a few times for each of the first eight.
void apply_edits(const Ground& ground, const Lick& lick, const Edited& edited, const LickTrial& trial, Phrase& phrase,
                 std::vector<Remark>& remarks);

}  // namespace fretloom
