#pragma once
// The phrases of a MusicXML document (W3C MusicXML 4.0, score-partwise), also from other programs.

#include <string_view>
#include <vector>

#include "base/result.h"
#include "exchange/given_phrase.h"

namespace fretloom {

// What is accepted; anything beyond is refused with the byte that says so.
constexpr std::size_t k_max_musicxml_bytes = 8U << 20U;
constexpr std::size_t k_max_musicxml_marks = 1U << 20U;     ///< "<" characters: elements, ends, comments
constexpr std::int64_t k_max_musicxml_divisions = 1 << 24;  ///< of a quarter note, and of a duration 64 times that

/// One voice of every part, cut at double bar lines: the voice with the most notes on strings and frets, else the
/// one with the most notes. Times come from positions in the bar; an implicit first measure is a pick-up. Tuning, capo,
/// meter and key signature are those that hold where a phrase begins. Grace notes and all but the highest note of a
/// chord are left out; ties make one note. Pitches sound (transpose is followed).
///
/// Errors, at a byte: syntax = no XML, no score-partwise, numbers that are none, a pitch that is none; limit = the
/// limits above, k_max_given_notes, k_max_given_phrases; range = strings and frets that no neck has. A document type
/// with declarations of its own (entities) is refused before it is read.
[[nodiscard]] Result<std::vector<GivenPhrase>> read_musicxml(std::string_view text);

}  // namespace fretloom
