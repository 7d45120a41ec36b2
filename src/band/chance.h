#pragma once
// Seeded choice: the same seed and place give the same choice on every machine.

#include <cstdint>

namespace fretloom {

/// What is chosen for; each question has its own stream.
enum class Question : std::uint32_t { approach, walk, fill, velocity };

/// 0 to `choices` - 1 for the `place`-th time that a question is asked. A counter mixed by the finaliser of
/// splitmix64 (Steele, Lea and Flood 2014, from memory). Precondition: choices > 0.
[[nodiscard]] inline int chance(std::uint32_t seed, Question question, std::int64_t place, int choices) {
  std::uint64_t x = (static_cast<std::uint64_t>(seed) << 32U) + (static_cast<std::uint64_t>(question) << 28U) +
                    static_cast<std::uint64_t>(place) + 0x9E3779B97F4A7C15ULL;
  x = (x ^ x >> 30U) * 0xBF58476D1CE4E5B9ULL;
  x = (x ^ x >> 27U) * 0x94D049BB133111EBULL;
  x ^= x >> 31U;
  return static_cast<int>(x % static_cast<std::uint64_t>(choices));
}

}  // namespace fretloom
