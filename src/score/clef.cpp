#include "score/clef.h"

#include <algorithm>

namespace fretloom {

namespace {

constexpr int k_low_e2 = 40;  // MIDI
constexpr int k_g3 = 55;

}  // namespace

Clef clef_for(const std::vector<ScoreString>& strings) {
  if (strings.empty()) return Clef::treble_8vb;
  int low = 1000;
  int high = -1000;
  for (const ScoreString& string : strings) {
    low = std::min(low, string.open.midi());
    high = std::max(high, string.open.midi());
  }
  return low < k_low_e2 && high <= k_g3 ? Clef::bass : Clef::treble_8vb;
}

}  // namespace fretloom
