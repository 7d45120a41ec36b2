#pragma once
// Clean ideas made up by a seeded generator: every layout, tunings of 4 to 8 strings, cells and sequences, all carries
// and ways back. std::mt19937 gives the same numbers everywhere.

#include <cstdint>
#include <optional>
#include <random>

#include "exchange/given_phrase.h"
#include "lick/expand.h"

namespace fretloom::test {

/// A lick that expands without a finding, with two or more repetitions.
struct RandomIdea {
  Ground ground;
  LayoutRule layout;
  Lick lick;
  Phrase phrase;
};

/// The idea of a seed; nothing where the dice gave one that cannot be played.
std::optional<RandomIdea> random_idea(std::uint32_t seed);

/// Its notes as a reader would give them. `places`: with strings and frets, else pitches alone.
GivenPhrase given(const RandomIdea& idea, bool places = true);

/// What the idea costs by code_length.h, as it was made.
double description_bits(const RandomIdea& idea);

}  // namespace fretloom::test
