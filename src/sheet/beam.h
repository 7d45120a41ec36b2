#pragma once
// Where a beam lies: its slope and height chosen by scoring candidates, as an engraver weighs them.

#include <string>
#include <vector>

namespace fretloom::sheet {

enum class StemDirection { up, down };

/// One stem under a beam.
struct BeamStem {
  double x = 0;          ///< of the stem, staff spaces
  int position = 0;      ///< notehead, half spaces above the middle line
  int beams = 1;         ///< 1 = eighth
  double sign = 0;       ///< how far an accidental reaches from the head's middle toward the beams
  double sign_left = 0;  ///< x of that accidental's left edge
};

/// A placed beam: y of the primary beam's OUTER edge at the first and last stem, staff spaces DOWN from
/// the middle line (so stems end there).
struct BeamLine {
  double left = 0;
  double right = 0;

  [[nodiscard]] double at(double x, double first_x, double last_x) const {
    return last_x <= first_x ? left : left + (right - left) * (x - first_x) / (last_x - first_x);
  }
};

/// Down where the note farthest from the middle line lies above it, or both are as far and the sum is
/// not below (common practice; Ross 1970, from memory). Positions in half spaces.
[[nodiscard]] StemDirection stem_direction(const std::vector<int>& positions);

/// Shortest stem that `beams` beams allow: 2.5 for one or two, 0.75 more for each further one.
[[nodiscard]] double shortest_stem(int beams);
/// What a stem wants: 3.5, 0.75 more for each beam past the second, or to the middle line from far off.
[[nodiscard]] double ideal_stem(int position, int beams, StemDirection direction);

/// Weighs every quarter-space height and slope: stems near their ideal length, none under the shortest
/// (an absolute rule), slope near the interval's (a quarter space a step up to one and a quarter, flatter
/// over short distances, level where the inner notes bend away or the ends are equal), and both ends
/// sitting on, hanging from or straddling a staff line while they lie in the staff (Ross 1970 and Gould
/// 2011, from memory).
/// Precondition: at least two stems, x ascending.
[[nodiscard]] BeamLine place_beam(const std::vector<BeamStem>& stems, StemDirection direction);

}  // namespace fretloom::sheet
