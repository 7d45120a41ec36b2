#pragma once

#include <string>

#include "score/rule.h"

namespace fretloom {

/// "hammer on to the second note and pull off to the fifth note": what the mended rule, text as typed, slurs that
/// `rule` does not.
[[nodiscard]] std::string slur_words(const Rule& rule, const std::string& mended);

}  // namespace fretloom
