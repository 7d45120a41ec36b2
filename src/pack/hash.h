#pragma once
// SHA-256 (FIPS 180-4), and the lesson's own hash stamped in every part of a pack.
//
// A part is made with a blank stamp, so that it can be kept when something else in the lesson changes; the
// lesson's hash is then put in the stamp's place. Blank and full stamp are equally long.

#include <cstddef>
#include <string>
#include <string_view>

namespace fretloom {

constexpr std::size_t k_sha256_digits = 64;

/// Lower-case hexadecimal, 64 digits.
[[nodiscard]] std::string sha256(std::string_view bytes);

constexpr std::string_view k_stamp_word = "lesson-sha256:";

/// The word and 64 zeros: what goes into a part while it is made.
[[nodiscard]] std::string blank_stamp();
/// The word and the lesson's hash.
[[nodiscard]] std::string full_stamp(std::string_view lesson_hash);

/// Replaces every blank stamp; the checksums of an Ogg stream are renewed. Returns how many there were.
std::size_t stamp(std::string& bytes, std::string_view lesson_hash);

}  // namespace fretloom
