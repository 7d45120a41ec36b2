#pragma once
// Numbers as text, the same on every machine and quick.

#include <string>

namespace fretloom::sheet {

/// At most three decimals, trailing zeros dropped, never "-0": 1.5, -0.125, 12. Precondition: |value| < 1e12.
[[nodiscard]] std::string fixed(double value);
/// The same, appended.
void append_fixed(std::string& out, double value);

}  // namespace fretloom::sheet
