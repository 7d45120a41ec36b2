#pragma once
// Plain-text tab as people write it, and as text_tab writes it.
//
//   Bar 1                     a heading; "Bar 1" and "Pick-up" begin a phrase, and so does prose between two systems
//      >                      accents, by column
//   e|--------|               one line a string, the thinnest first; ragged ends, labels or none, any number of strings
//   B|-5-7h8--|               h p s / \ before a fret: a slur from the note before; x and bends are passed over
//   G|--------|
//      1  +  2                counts below: the only thing that tells time
//
// Labels name the tuning, with or without octaves ("E" or "E2"); without labels it is for the caller to know. "Capo 2"
// on a line of its own before a system is read.

#include <string_view>
#include <vector>

#include "base/result.h"
#include "exchange/given_phrase.h"

namespace fretloom {

/// A text above this size is refused unread.
constexpr std::size_t k_max_tab_bytes = 2U << 20U;

/// Every phrase of the text. Where notes stand above one another, the thinnest string's is taken. Errors: syntax = no
/// lines of tab; limit = too large, more than k_max_given_phrases or k_max_given_notes. A fret above k_max_frets is
/// read digit by digit.
[[nodiscard]] Result<std::vector<GivenPhrase>> read_text_tab(std::string_view text);

/// The tuning that string labels name, thinnest first: the preset with these notes, else each string in the octave
/// nearest to the standard instrument's string. Nothing where a label is no note.
[[nodiscard]] std::optional<Tuning> tuning_from_labels(const std::vector<std::string>& labels);

}  // namespace fretloom
