#pragma once
// What a writer of this room gives: bytes, not files. The caller stores them.

#include <string>

#include "base/diagnostics.h"

namespace fretloom::draw {

/// A finished file. Findings: sheet-text-font-missing (another font stands in; its package is named),
/// sheet-logo-unreadable.
struct Rendered {
  std::string bytes;
  Diagnostics findings;
};

}  // namespace fretloom::draw
