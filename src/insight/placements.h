#pragma once
// Strings and frets for a phrase of which only the pitches are known.

#include "insight/heard.h"
#include "insight/home.h"
#include "insight/shortlist.h"

namespace fretloom {

/// search_rules for pitches alone: each usual layout with the places it asks for (two to four notes a string,
/// positions of five frets, octaves), then the places that the hand would take.
void search_pitches(const HeardPhrase& phrase, const Home* home, Shortlist& shortlist);

}  // namespace fretloom
