#pragma once
// The band's part score as a grid, for docs/band.md: a column a step, a row a voice.

#include <string>
#include <vector>

#include "score/band.h"
#include "score/meter.h"

namespace fretloom {

/// Some bars, counted from 0, each under its line of text: bass notes by name, > behind those that lead on; all else by
/// the signs of docs/band.md.
struct ScoreBar {
  int bar = 0;
  std::string heading;
};
std::string part_score(const Band& band, const Meter& meter, const std::vector<ScoreBar>& bars);

}  // namespace fretloom
