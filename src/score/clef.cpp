#include "score/clef.h"

#include <algorithm>
#include <cstdlib>

namespace fretloom {

namespace {

constexpr int k_octave = 7;          // positions
constexpr int k_treble_middle = 34;  // B4
constexpr int k_bass_middle = 22;    // D3
constexpr int k_outer_line = 4;      // position of the staff's outer lines
constexpr int k_unread_clef = 3;     // ledger lines that a clef is worth to somebody who seldom reads it

int cost_of(Clef clef, const IdeaSheet& idea) {
  int cost = 0;
  for (const Score& score : idea.feels) {
    for (const ScoreNote& note : score.notes) {
      const int position = staff_position(clef, note.pitch);
      const int octaves = ottava_of(position);
      cost += ledger_lines(position - octaves * k_octave) + std::abs(octaves);
      if (clef == Clef::bass) cost += k_unread_clef;
    }
  }
  return cost;
}

bool goes_low(const IdeaSheet& idea) {
  return std::any_of(idea.feels.begin(), idea.feels.end(), [](const Score& score) {
    return std::any_of(score.notes.begin(), score.notes.end(), [](const ScoreNote& note) {
      return ottava_of(staff_position(Clef::treble_8vb, note.pitch)) < 0;
    });
  });
}

}  // namespace

int staff_position(Clef clef, const SpelledPitch& sounding) {
  return sounding.diatonic() + k_octave - (clef == Clef::bass ? k_bass_middle : k_treble_middle);
}

int ledger_lines(int position) { return std::max(0, (std::abs(position) - k_outer_line) / 2); }

int ottava_of(int position) {
  int octaves = 0;
  while (octaves < 2 && std::abs(position) - octaves * k_octave > outermost_place(octaves + 1)) ++octaves;
  return position > 0 ? octaves : -octaves;
}

Clef clef_of(const IdeaSheet& idea) {
  if (idea.instrument.is_bass()) return Clef::bass;
  if (!goes_low(idea)) return Clef::treble_8vb;
  return cost_of(Clef::bass, idea) < cost_of(Clef::treble_8vb, idea) ? Clef::bass : Clef::treble_8vb;
}

}  // namespace fretloom
