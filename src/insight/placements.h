#pragma once
// Strings and frets for a phrase of which only the pitches are known.

#include <vector>

#include "insight/home.h"
#include "insight/layouts.h"
#include "insight/shortlist.h"

namespace fretloom {

/// The strings on which the pitches lie best in a layout: Viterbi over string and fret. A note in its string's row
/// costs nothing, one outside its distance in frets; a skipped string and a move along the neck cost a little.
/// Nothing where a pitch is nowhere on the neck. `first_number` counts are the family's cheapest choice.
[[nodiscard]] std::optional<HeardPhrase> place_on(const HeardPhrase& phrase, const ScaleLine& line,
                                                  const LayoutFamily& family, double& cost);

/// Without a layout: the least movement of the hand, once for each place of the first note.
[[nodiscard]] std::vector<HeardPhrase> place_by_hand(const HeardPhrase& phrase);

/// search_rules for pitches alone: each usual layout with the places it asks for (two to four notes a string,
/// positions of five frets, octaves), then the places that the hand would take.
void search_pitches(const HeardPhrase& phrase, const Home* home, Shortlist& shortlist);

}  // namespace fretloom
