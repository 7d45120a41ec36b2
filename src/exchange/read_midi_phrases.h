#pragma once
// The phrases of a MIDI file: pitches and times of its melody.

#include <vector>

#include "exchange/given_phrase.h"
#include "exchange/midi.h"

namespace fretloom {

/// The track that has the most notes standing alone (a melody, no chords and no percussion), cut at the file's
/// markers. Onsets count beats from the marker's bar, without markers from the bar of the first note. Of notes that
/// sound together the highest is taken. Where texts on the track name strings (exchange/midi_text.h, as Fretloom writes
/// them) the notes have places and attacks; a phrase with a note that is not on its string has pitches alone. Channels
/// say nothing of strings. Errors: syntax = no melody; limit = more than k_max_given_notes in a phrase or
/// k_max_given_phrases.
[[nodiscard]] Result<std::vector<GivenPhrase>> read_midi_phrases(const MidiFile& file);

}  // namespace fretloom
