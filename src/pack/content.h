#pragma once
// What a part of a pack depends on, as text to be hashed.

#include <string>

#include "score/score.h"

namespace fretloom {

/// Every field of a score, so that two scores with one text make the same of every output.
[[nodiscard]] std::string content_text(const Score& score);
/// The handout's prose and all its scores.
[[nodiscard]] std::string content_text(const Handout& handout);

}  // namespace fretloom
