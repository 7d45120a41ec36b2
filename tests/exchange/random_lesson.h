#pragma once
// Lessons made up by a seeded generator, most of them legal.

#include <cstdint>
#include <string>

namespace fretloom {

/// The text of a lesson; the same for the same seed everywhere.
std::string random_lesson(std::uint32_t seed);

}  // namespace fretloom
