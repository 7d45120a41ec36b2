#pragma once
// What must hold of every phrase that a reader gives: all notes have a place or none has, all have a time or none, each
// sounds; and it is explained, or it is said why not.

#include <cstdlib>
#include <vector>

#include "insight/answer_json.h"

namespace fretloom::fuzz {

inline void require(bool truth) {
  if (!truth) std::abort();
}

/// Phrases of more notes are not explained: the readers are what is tested here.
inline void explain_all(const std::vector<GivenPhrase>& phrases, std::size_t most_notes) {
  for (const GivenPhrase& phrase : phrases) {
    for (const GivenNote& note : phrase.notes) {
      require(note.at.has_value() == phrase.is_placed() && note.time.has_value() == phrase.is_timed());
      require(note.at || note.midi);
    }
    if (phrase.notes.size() > most_notes) continue;
    const auto explanation = explain(phrase);
    if (!explanation) continue;
    require(explanation->answers.empty() == explanation->why_not.has_value());
    (void)explain_json({{1, phrase, *explanation}}, {});
  }
}

}  // namespace fretloom::fuzz
