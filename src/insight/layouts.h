#pragma once
// The layouts that a phrase may be told on, for one scale and neck.

#include <array>
#include <vector>

#include "insight/scale_line.h"
#include "neck/layout.h"

namespace fretloom {

/// One number a string, thickest first; 0 where there is no string.
using PerString = std::array<int, k_max_strings>;

/// One layout of a family with its counts, thickest string first.
struct LayoutChoice {
  LayoutRule rule;
  PerString counts{};
  double bits = 0;
};

/// Layouts whose strings begin on the same notes: they give a note the same ordinal, and differ in how many they have.
struct LayoutFamily {
  PerString first{};                  ///< numbers in the ScaleLine, thickest string first
  std::vector<LayoutChoice> choices;  ///< cheapest first, each wholly on the neck, at least one
};

/// Families that differ by how far up the neck they begin: what a rule's carry asks for is the same on all of them.
struct LayoutShape {
  PerString above{};  ///< a string's first number less the thickest string's
  std::vector<LayoutFamily> families;
};

/// per-string 1 to 7 notes, octaves of 1 to 6 and 1 to 6 notes, positions of 1 to 12 frets, from every fret. A shape
/// has at least one family.
[[nodiscard]] std::vector<LayoutShape> layout_shapes(const ScaleLine& line, const Neck& neck);

/// Where strings and frets were not given, layouts far up the neck are the less likely ones (see code_length.h).
void price_height(std::vector<LayoutShape>& shapes);

}  // namespace fretloom
