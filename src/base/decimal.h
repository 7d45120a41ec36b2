#pragma once
// Decimals to doubles and back, for every C++ library that we build with.

#include <charconv>
#include <string>

namespace fretloom {

/// What std::from_chars(first, last, value) does in its general format: nearest double, no leading blank or plus; inf
/// and nan are read; value stays as it is on an error. The C++ library of the WebAssembly module has none for doubles.
[[nodiscard]] std::from_chars_result read_decimal(const char* first, const char* last, double& value);

/// What std::to_chars(value) writes: the shortest decimal that reads back the same. The module's C++ library has it,
/// with tables of 100 kB.
[[nodiscard]] std::string shortest_decimal(double value);

/// A number with so many decimals, halves to even: 96.65 with one as "96.7". Range: 0 to 17 decimals, |value| < 1e15.
[[nodiscard]] std::string fixed_decimal(double value, int decimals);

}  // namespace fretloom
