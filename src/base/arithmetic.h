#pragma once
// The few functions beyond + - * / and square root, in IEEE-754 double operations of a fixed order: C libraries differ
// in the last bit of theirs, and what is printed or drawn must be the same bytes on every machine, in a page's
// WebAssembly too (build with -ffp-contract=off).

namespace fretloom {

/// 2^x, within 0.51 units in the last place. Range: -1000 to 1000.
[[nodiscard]] double exp2_of(double x);

/// The logarithm to base 2, within 0.51 units in the last place. Precondition: x is normal and > 0.
[[nodiscard]] double log2_of(double x);

/// The hypotenuse over two sides, within one unit in the last place. Range: what squares without overflow or underflow.
[[nodiscard]] double hypotenuse(double x, double y);

}  // namespace fretloom
