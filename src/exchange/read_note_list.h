#pragma once
// Note lists as layouts are written.
//
//   list  = entry (("|" or a line's end) entry)*
//   entry = [string ":"] note*
//   note  = ["h" | "p" | "s"] fret ["!"] ["x" units]  |  "r" ["x" units]
//
// Or pitches alone: "E3 G3 A3 r B3". A note takes one unit, and four units a beat. Without rests and units the list has
// no time.

#include <string_view>

#include "base/result.h"
#include "exchange/given_phrase.h"

namespace fretloom {

/// True if the text looks like a list: it begins with a string number and a colon, or with a pitch.
[[nodiscard]] bool looks_like_note_list(std::string_view text);

/// Errors, with the byte that is at fault: syntax; range = string 1 to k_max_strings, fret 0 to k_max_frets, units 1
/// to 64; limit = more than k_max_given_notes.
[[nodiscard]] Result<GivenPhrase> read_note_list(std::string_view text);

}  // namespace fretloom
