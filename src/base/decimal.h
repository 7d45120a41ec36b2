#pragma once
// Decimals to doubles, for every C++ library that we build with.

#include <charconv>

namespace fretloom {

/// What std::from_chars(first, last, value) does in its general format: nearest double, no leading blank or plus; inf
/// and nan are read; value stays as it is on an error. The C++ library of the WebAssembly module has none for doubles.
[[nodiscard]] std::from_chars_result read_decimal(const char* first, const char* last, double& value);

}  // namespace fretloom
